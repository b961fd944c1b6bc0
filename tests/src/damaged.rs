//! Files that no reader can open, each made from a sound one or from nothing.

/// A file that must be refused, and what must be said of it.
#[derive(Debug, Clone)]
pub struct Damaged {
    /// File name to offer it under.
    pub name: &'static str,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// The line, from 1, that the message must name.
    pub line: u32,
}

/// One of each kind.
pub fn all() -> Vec<Damaged> {
    let sound = one_face("#20=PLANE('',#21);");
    vec![
        Damaged { name: "empty.stp", bytes: Vec::new(), line: 1 },
        Damaged { name: "picture.stp", bytes: png(), line: 1 },
        Damaged { name: "cut-off.stp", bytes: cut_at(&sound, "#21=AXIS2"), line: line_of(&sound, "#21=AXIS2") },
        Damaged {
            name: "damaged.stp",
            bytes: sound.replace("#20=PLANE('',#21);", "#20=PLANE('',#21;").into_bytes(),
            line: line_of(&sound, "#20=PLANE"),
        },
        Damaged {
            name: "loop.stp",
            bytes: one_face("#20=RECTANGULAR_TRIMMED_SURFACE('',#20,0.,1.,0.,1.,.T.,.T.);").into_bytes(),
            line: line_of(&sound, "#20=PLANE"),
        },
    ]
}

/// A sound file of one square face of 10 mm, on the surface #20 that the record defines.
pub fn one_face(surface: &str) -> String {
    let corners = [(0, 0), (10, 0), (10, 10), (0, 10)];
    let mut data = String::new();
    let mut edges = Vec::new();
    for (index, (x, y)) in corners.into_iter().enumerate() {
        let next = (index + 1) % 4;
        let (to_x, to_y) = corners[next];
        let (dx, dy) = ((to_x - x) / 10, (to_y - y) / 10);
        let [point, vertex, direction, vector, line, edge, oriented] = [100, 110, 120, 130, 140, 150, 160].map(|base| base + index);
        data.push_str(&format!(
            "#{point}=CARTESIAN_POINT('',({x}.,{y}.,0.));\n\
             #{vertex}=VERTEX_POINT('',#{point});\n\
             #{direction}=DIRECTION('',({dx}.,{dy}.,0.));\n\
             #{vector}=VECTOR('',#{direction},1.);\n\
             #{line}=LINE('',#{point},#{vector});\n\
             #{edge}=EDGE_CURVE('',#{vertex},#{},#{line},.T.);\n\
             #{oriented}=ORIENTED_EDGE('',*,*,#{edge},.T.);\n",
            110 + next
        ));
        edges.push(format!("#{oriented}"));
    }
    format!(
        "ISO-10303-21;\n\
         HEADER;\n\
         FILE_DESCRIPTION((''),'2;1');\n\
         FILE_NAME('square','2026-01-01T00:00:00',(''),(''),'','','');\n\
         FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\n\
         ENDSEC;\n\
         DATA;\n\
         #1=SHELL_BASED_SURFACE_MODEL('',(#2));\n\
         #2=OPEN_SHELL('',(#3));\n\
         #3=ADVANCED_FACE('',(#4),#20,.T.);\n\
         #4=FACE_OUTER_BOUND('',#5,.T.);\n\
         #5=EDGE_LOOP('',({edges}));\n\
         {surface}\n\
         #21=AXIS2_PLACEMENT_3D('',#22,#23,#24);\n\
         #22=CARTESIAN_POINT('',(0.,0.,0.));\n\
         #23=DIRECTION('',(0.,0.,1.));\n\
         #24=DIRECTION('',(1.,0.,0.));\n\
         {data}\
         #200=MANIFOLD_SURFACE_SHAPE_REPRESENTATION('',(#1,#21),#201);\n\
         #201=(GEOMETRIC_REPRESENTATION_CONTEXT(3) \
         GLOBAL_UNIT_ASSIGNED_CONTEXT((#202,#203,#204)) REPRESENTATION_CONTEXT('',''));\n\
         #202=(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.));\n\
         #203=(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.));\n\
         #204=(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT());\n\
         ENDSEC;\n\
         END-ISO-10303-21;\n",
        edges = edges.join(","),
    )
}

/// The smallest picture: one grey pixel.
fn png() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut writer = png::Encoder::new(&mut bytes, 1, 1).write_header().expect("a picture in memory");
    writer.write_image_data(&[128]).expect("a picture in memory");
    drop(writer);
    bytes
}

fn cut_at(text: &str, place: &str) -> Vec<u8> {
    let end = text.find(place).expect("a place in the text") + place.len();
    text.as_bytes()[..end].to_vec()
}

fn line_of(text: &str, place: &str) -> u32 {
    let before = text.split(place).next().expect("a place in the text");
    u32::try_from(before.matches('\n').count()).expect("a small number") + 1
}
