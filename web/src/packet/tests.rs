use super::*;

fn frame() -> Frame {
    Frame { origin: [1.0, -2.0, 3.5], x: [0.0, 1.0, 0.0], y: [0.0, 0.0, 1.0], z: [1.0, 0.0, 0.0] }
}

fn surfaces() -> Vec<SurfaceRecord> {
    let grid = BezierGrid {
        degree: [3, 2],
        breaks_u: vec![0.0, 0.25, 1.5],
        breaks_v: vec![-1.0, 1.0],
        points: (0..24).map(|i| [f64::from(i) * 0.1, -0.3, 7.0, 1.0 + f64::from(i)]).collect(),
    };
    vec![
        SurfaceRecord::None,
        SurfaceRecord::Plane(frame()),
        SurfaceRecord::Cylinder { frame: frame(), radius: 12.5 },
        SurfaceRecord::Cone { frame: frame(), radius: 3.0, half_angle: -0.4 },
        SurfaceRecord::Sphere { frame: frame(), radius: 8.0 },
        SurfaceRecord::Torus { frame: frame(), major: 5.0, minor: 6.0 },
        SurfaceRecord::Bezier(grid),
    ]
}

fn packet(surface: SurfaceRecord) -> FacePacket {
    FacePacket {
        face: 41,
        origin: [1e4, -2e3, 0.125],
        uv_box: [0.0, 1.5, -1.0, 1.0],
        role: if surface == SurfaceRecord::None { Role::Reference } else { Role::Untrimmed },
        reversed: true,
        surface,
        vertices: (0..32).map(|i| i as f32 * 0.37).collect(),
        triangles: vec![0, 1, 2, 2, 1, 3],
        boundaries: vec![vec![0.0, 1.0, 2.0, 3.0, 4.0, 5.0], vec![9.0, 8.0, 7.0]],
    }
}

#[test]
fn every_surface_kind_comes_back_bit_for_bit() {
    for surface in surfaces() {
        let sent = packet(surface);
        assert_eq!(FacePacket::read(&sent.write()), Ok(sent));
    }
}

#[test]
fn every_cut_is_refused() {
    for surface in surfaces() {
        let bytes = packet(surface).write();
        for n in 0..bytes.len() {
            assert!(FacePacket::read(&bytes[..n]).is_err(), "cut at {n}");
        }
    }
}

#[test]
fn foreign_bytes_and_wild_indices_are_refused() {
    let mut bytes = packet(SurfaceRecord::Plane(frame())).write();
    bytes[4] = 9;
    assert_eq!(FacePacket::read(&bytes), Err(PacketError::Version(9)));
    bytes[0] = b'x';
    assert_eq!(FacePacket::read(&bytes), Err(PacketError::Kind));
    let mut wild = packet(SurfaceRecord::Plane(frame()));
    wild.triangles[3] = 4;
    assert_eq!(FacePacket::read(&wild.write()), Err(PacketError::Range));
}

#[test]
fn huge_counts_do_not_take_memory() {
    let mut bytes = packet(SurfaceRecord::Plane(frame())).write();
    bytes[16..20].copy_from_slice(&u32::MAX.to_le_bytes());
    assert_eq!(FacePacket::read(&bytes), Err(PacketError::Short));
}
