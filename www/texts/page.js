// The frame of the page: head, passes, status line, spoken results.

export const page = {
  title: 'Rakelight',
  skip: 'Skip to the ledger',
  face: (id) => `face ${id}`,

  head: {
    open: 'Open a model',
    openHint: 'Choose a STEP, IGES, STL or PLY file on this machine, or a saved review. It is read in this page and sent nowhere.',
    address: 'From an address',
    demo: 'Demo',
    demoHint: 'Open Bramble, the demonstration model',
    undo: 'Undo',
    redo: 'Redo',
    dark: 'Dark',
    light: 'Light',
    themeHint: 'Switch between dark and light paper',
    none: 'No model open',
    check: 'Check JSON',
    checkHint: 'Save the whole check as JSON, the same text the command line prints',
  },

  passes: {
    label: 'Passes of the review',
    overview: 'Overview',
    layout: 'Layout',
    highlights: 'Highlights',
    centre: 'Centre line',
    form: 'Form',
    rows: 'Control rows',
    joins: 'Joins',
    fillets: 'Fillets',
    gaps: 'Gaps',
    reference: 'Reference',
    trials: 'Trials',
    verdict: 'Verdict',
    count: (n) => (n === 1 ? '1 open finding' : `${n} open findings`),
  },

  status: {
    reference: 'Mesh, for reference only',
    exact: 'Exact at every pixel',
    noFaces: 'Shown for reference',
    settling: 'Settling',
    moving: 'Moving: normals between vertices',
    fallback: 'Normals between vertices',
    noPicture: 'No picture',
    join: 'Join',
    uv: 'u, v',
    form: { gaussian: 'Gaussian', mean: 'Mean', max: 'Largest', min: 'Smallest', radius: 'Radius' },
    flat: 'flat',
    hollow: 'hollow',
    convex: 'convex',
  },

  legend: {
    none: 'no limits in this zone',
    hatched: (n) => `Hatched: ${n} without boundary, not measured`,
  },

  say: {
    opened: (name, faces, findings) => `${name} is open: ${faces} faces, ${findings} findings.`,
    picked: (face) => `Picked: ${face}.`,
    pickedJoin: (join) => `Join ${join} picked.`,
    pickedNothing: 'Nothing there.',
    pickedReference: 'A mesh, for reference only.',
    regraded: (zone, n) => `Graded by the ${zone} yardstick: ${n} findings.`,
    saved: (name) => `${name} saved.`,
    framed: 'If no file comes, the page around this one does not let it: its frame needs allow-downloads.',
  },

  graphics: {
    none: 'This browser offers no WebGL 2, so there is no picture. Import, ledger and traces work without it.',
    noneAdvice: 'Switching on hardware acceleration, or another browser, brings the picture back.',
    lost: 'The graphics card has let go of the picture. The model, the ledger and your judgements are kept.',
    retry: 'Draw again',
  },
};
