//! Small meshes written as every kind of mesh file.

/// A named mesh file.
#[derive(Debug, Clone)]
pub struct MeshFile {
    /// What it is.
    pub name: &'static str,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// One waved sheet of 2 · 12 · 9 triangles in each encoding.
pub fn all() -> Vec<MeshFile> {
    let (points, triangles) = sheet(12, 9);
    vec![
        MeshFile { name: "sheet, binary.stl", bytes: binary_stl(&points, &triangles) },
        MeshFile { name: "sheet, text.stl", bytes: text_stl(&points, &triangles).into_bytes() },
        MeshFile { name: "sheet, text.ply", bytes: ply("ascii", &points, &triangles) },
        MeshFile { name: "sheet, little endian.ply", bytes: ply("binary_little_endian", &points, &triangles) },
        MeshFile { name: "sheet, big endian.ply", bytes: ply("binary_big_endian", &points, &triangles) },
    ]
}

type Point = [f32; 3];

fn sheet(columns: usize, rows: usize) -> (Vec<Point>, Vec<[usize; 3]>) {
    let mut points = Vec::new();
    let mut triangles = Vec::new();
    for row in 0..=rows {
        for column in 0..=columns {
            let (x, y) = (column as f32 * 1.5, row as f32 * 2.25);
            points.push([x, y, 0.1 * x * y - 0.3 * x]);
            if row < rows && column < columns {
                let first = row * (columns + 1) + column;
                let above = first + columns + 1;
                triangles.push([first, first + 1, above + 1]);
                triangles.push([first, above + 1, above]);
            }
        }
    }
    (points, triangles)
}

fn binary_stl(points: &[Point], triangles: &[[usize; 3]]) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for triangle in triangles {
        bytes.extend([0; 12]);
        bytes.extend(triangle.iter().flat_map(|&corner| points[corner]).flat_map(f32::to_le_bytes));
        bytes.extend([0; 2]);
    }
    bytes
}

fn text_stl(points: &[Point], triangles: &[[usize; 3]]) -> String {
    let mut text = String::from("solid sheet\n");
    for triangle in triangles {
        text += "facet normal 0 0 0\nouter loop\n";
        for [x, y, z] in triangle.map(|corner| points[corner]) {
            text += &format!("vertex {x:e} {y:e} {z:e}\n");
        }
        text += "endloop\nendfacet\n";
    }
    text + "endsolid sheet\n"
}

fn ply(encoding: &str, points: &[Point], triangles: &[[usize; 3]]) -> Vec<u8> {
    let mut bytes = format!(
        "ply\nformat {encoding} 1.0\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\n\
         element face {}\nproperty list uchar int vertex_indices\nend_header\n",
        points.len(),
        triangles.len()
    )
    .into_bytes();
    for [x, y, z] in points {
        match encoding {
            "ascii" => bytes.extend(format!("{x} {y} {z}\n").bytes()),
            "binary_little_endian" => bytes.extend([x, y, z].into_iter().flat_map(|x| x.to_le_bytes())),
            _ => bytes.extend([x, y, z].into_iter().flat_map(|x| x.to_be_bytes())),
        }
    }
    for corners in triangles.iter().map(|triangle| triangle.map(|corner| corner as i32)) {
        match encoding {
            "ascii" => bytes.extend(format!("3 {} {} {}\n", corners[0], corners[1], corners[2]).bytes()),
            "binary_little_endian" => {
                bytes.push(3);
                bytes.extend(corners.into_iter().flat_map(i32::to_le_bytes));
            }
            _ => {
                bytes.push(3);
                bytes.extend(corners.into_iter().flat_map(i32::to_be_bytes));
            }
        }
    }
    bytes
}
