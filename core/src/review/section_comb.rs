//! The comb of a plane section.

use super::{Comb, MOST_TEETH, Tooth};
use crate::math::Vec3;
use crate::section::{Profile, SectionLine, SectionPoint};

/// Teeth along a section, at points of it about `spacing` mm apart, and its inflections; `normal` is that of the cutting plane. Teeth
/// lie in the plane, on the outward side, and stand for the curvature of the section as a plane curve. None without two teeth.
pub fn section_comb(line: &SectionLine, normal: Vec3, spacing: f64) -> Option<Comb> {
    let length = line.points.last()?.along;
    if !(spacing > 0.0 && length > 0.0) {
        return None;
    }
    let step = spacing.max(length / (MOST_TEETH - 1) as f64);
    let mut teeth = Vec::new();
    let mut due = 0.0;
    for (i, p) in line.points.iter().enumerate() {
        let ends = line.starts.contains(&i) || line.starts.contains(&(i + 1)) || i + 1 == line.points.len();
        // Both sides of a join have a tooth each, so that a jump shows.
        if p.along + 1e-9 * length >= due || ends {
            teeth.extend(tooth(p, normal));
            due = p.along + step;
        }
    }
    let inflections = Profile::new(line, normal).map_or(Vec::new(), |p| p.inflections().into_iter().map(|i| i.1).collect());
    (teeth.len() > 1).then_some(Comb { teeth, inflections })
}

fn tooth(p: &SectionPoint, plane: Vec3) -> Option<Tooth> {
    let normal = (p.normal - plane * p.normal.dot(plane)).try_normalize()?;
    Some(Tooth { point: p.point, normal, curvature: p.curvature })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Cylinder, Domain, Surface};
    use crate::joins::{JoinGraph, Options, Sheets};
    use crate::math::{Frame, Interval, Point3};
    use crate::model::{Face, Model};
    use crate::progress::Silent;
    use crate::section::{Plane, Precision, SectionFace, section};
    use crate::tessellate::{Tolerance, tessellate};

    /// A cut square to the axis of a cylinder is a circle: 1/r all along, teeth straight out of the axis, no inflection.
    #[test]
    fn the_cut_of_a_cylinder_has_even_teeth() {
        let (r, frame) = (40.0, Frame::from_axis(Point3::new(11.0, -7.0, 5.0), Some(Vec3::new(1.0, 2.0, 3.0)), None));
        let surface = Surface::Cylinder(Cylinder { frame, radius: r });
        let domains = [Domain::rectangle(&surface, Interval::new(0.2, 1.8), Interval::new(-20.0, 30.0)).ok()];
        let areas = [domains[0].as_ref().unwrap().area(&surface)];
        let model = Model { faces: vec![Face::whole(surface)], parts: vec!["one".into()], ..Model::default() };
        let sheets = Sheets { model: &model, domains: &domains };
        let graph = JoinGraph::find(&sheets, &areas, &Options::default(), &mut Silent).unwrap();
        let meshes = tessellate(&model, &domains, &Tolerance::for_model(&model), &mut Silent);
        let faces = SectionFace::all(&sheets, &meshes, &graph);
        let plane = Plane::through(frame.point(0.0, 0.0, 4.0), frame.z).unwrap();
        let lines = section(&plane, &faces, &graph, &Precision::default());
        let comb = section_comb(&lines[0], plane.normal, 3.0).unwrap();
        assert!(comb.teeth.len() > 15 && comb.inflections.is_empty(), "{} teeth", comb.teeth.len());
        let side = comb.teeth[0].curvature.signum();
        for t in &comb.teeth {
            assert!((t.curvature - side / r).abs() < 1e-9, "{}", t.curvature);
            let out = frame.local(t.point);
            let out = (frame.x * out.x + frame.y * out.y).normalize();
            assert!((t.normal.dot(out) - side).abs() < 1e-9);
        }
        let far: Vec<f64> = comb.teeth.windows(2).map(|w| w[0].point.distance(w[1].point)).collect();
        assert!(far[..far.len() - 1].iter().all(|d| *d > 2.9), "{far:?}");
        assert_eq!(section_comb(&lines[0], plane.normal, 0.0), None);
    }
}
