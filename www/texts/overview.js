// The Overview pass.

export const overview = {
  overview: {
    schema: 'Schema',
    units: 'Units',
    size: 'Size',
    faces: 'Faces',
    joins: 'Joins',
    format: 'Format',
    writer: 'Written by',
    preprocessor: 'Through',
    entities: 'Entities',
    freeCurves: 'Free curves',
    meshes: 'Mesh triangles',
    times: 'Read and measured in',
    types: 'Faces by surface',
    empty: 'Nothing is open yet.',
    zone: 'Yardstick',
    limits: 'Limits',
    limit: 'Limit',
    safety:
      "Gap, edge-radius and flush values bear on sharp edges and pinch points. Limits for people's safety come from the applicable regulations and the responsible engineer, not from a yardstick.",
  },

  kinds: {
    plane: 'Planes',
    cylinder: 'Cylinders',
    cone: 'Cones',
    sphere: 'Spheres',
    torus: 'Tori',
    nurbs: 'Spline patches',
    revolution: 'Turned surfaces',
    extrusion: 'Pulled surfaces',
    ruled: 'Ruled surfaces',
    offset: 'Offset surfaces',
  },

  zones: { visible: 'Visible', secondary: 'Secondary', hidden: 'Hidden' },
  units: { mm: 'millimetres', cm: 'centimetres', m: 'metres', inch: 'inches', ft: 'feet' },
  unitSizes: { mm: 1, cm: 10, m: 1000, inch: 25.4, ft: 304.8 },
};
