//! The check for a terminal.

use super::Check;
use super::quantity::quantity as shown;
use super::record::{FaceCounts, FindingRecord, JoinRecord};
use super::size::shown as size;
use crate::finding::{MeasureId, Severity, Unit};
use std::fmt::Write;

/// Findings of one severity printed in full; the rest is counted.
const MOST: usize = 40;

/// The same for repairs and remarks, which stand before the findings and must not hide them.
const FEW: usize = 8;

impl Check {
    /// The review as plain text, findings worst first.
    pub fn to_text(&self) -> String {
        let mut t = String::new();
        // Writing to a string cannot fail.
        let _ = self.write(&mut t);
        t
    }

    fn write_revision(&self, t: &mut String) -> std::fmt::Result {
        let Some(r) = &self.revision else { return Ok(()) };
        let counts = [
            (r.fixed, "fixed"),
            (r.same, "as before"),
            (r.better, "better"),
            (r.worse, "worse"),
            (r.new, "new"),
            (r.gone, "gone with their faces"),
        ];
        let counts: Vec<String> = counts.iter().filter(|c| c.0 > 0).map(|(n, what)| format!("{n} {what}")).collect();
        writeln!(t, "\nSince {}: {}", r.earlier, if counts.is_empty() { "nothing found in either".into() } else { counts.join(", ") })?;
        let told: Vec<_> = r.findings.iter().filter(|c| c.fate != "same").collect();
        for c in told.iter().take(MOST) {
            let now = c.now.and_then(|i| self.findings.get(i));
            let Some(f) = now.or(c.was.as_ref()) else { continue };
            let value = |f: &FindingRecord| MeasureId::from_text(f.measure).map_or_else(String::new, |id| shown(f.value.0, id.unit()));
            let values = match (&c.was, now) {
                (Some(was), Some(now)) => format!("{} → {}", value(was), value(now)),
                _ => value(f),
            };
            let [x, y, z] = f.place.point;
            writeln!(t, "  {}: {} {} at {:.1}, {:.1}, {:.1}", c.fate, f.measure, values, x.0, y.0, z.0)?;
        }
        more(t, told.len(), MOST)
    }

    fn write(&self, t: &mut String) -> std::fmt::Result {
        writeln!(t, "{} · {} · unit {}", self.file, self.schema, self.units)?;
        self.write_import(t)?;
        let kinds: Vec<String> = by_kind(&self.counts.faces).iter().filter(|k| k.0 > 0).map(|(n, k)| format!("{n} {k}")).collect();
        writeln!(t, "{} faces: {}", self.faces.len(), if kinds.is_empty() { "none".into() } else { kinds.join(", ") })?;
        if let Some([low, high]) = &self.bbox {
            writeln!(t, "box {:.1} × {:.1} × {:.1} mm", high[0].0 - low[0].0, high[1].0 - low[1].0, high[2].0 - low[2].0)?;
        }
        writeln!(t, "{}", self.join_line())?;
        if !self.unread.is_empty() {
            writeln!(t, "\nNot read:")?;
            for u in self.unread.iter().take(MOST) {
                writeln!(t, "  #{} {} line {}: {}", u.id, u.kind, u.line, u.reason)?;
            }
            more(t, self.unread.len(), MOST)?;
        }
        self.write_mended(t)?;
        self.write_reference(t)?;
        for severity in [Severity::Serious, Severity::Fix, Severity::Polish, Severity::Good] {
            let of: Vec<&FindingRecord> = self.findings.iter().filter(|f| f.severity == severity.text()).collect();
            if of.is_empty() {
                continue;
            }
            writeln!(t, "\n{} ({})", severity.text(), of.len())?;
            for f in of.iter().take(MOST) {
                finding(t, f, severity)?;
            }
            more(t, of.len(), MOST)?;
        }
        if self.findings.is_empty() {
            writeln!(t, "\nNothing found.")?;
        }
        self.write_revision(t)?;
        writeln!(t, "\nLimits are a yardstick for looks. Limits for people's safety (sharp edges, pinch points) come from the")?;
        writeln!(t, "applicable regulations and the responsible engineer.")?;
        if let Some(times) = &self.times {
            writeln!(t, "\nread {:.0} ms, mesh {:.0} ms, joins {:.0} ms", times.import_ms, times.tessellate_ms, times.joins_ms)?;
        }
        Ok(())
    }

    /// Who wrote the file, and whether its size can be meant.
    fn write_import(&self, t: &mut String) -> std::fmt::Result {
        let i = &self.import;
        let by = if i.writer.is_empty() { String::new() } else { format!(", written by {}", i.writer) };
        writeln!(t, "{}{by}, {} entities", i.format, i.entities)?;
        if let Some(mm) = i.unit.read_in_mm {
            writeln!(t, "read with {} mm in a unit instead of {}, as asked", mm.0, i.unit.in_mm.0)?;
        }
        if let Some(doubt) = &i.size_doubt {
            writeln!(t, "THE SIZE LOOKS WRONG: {}.", doubt.text)?;
            for g in &doubt.guesses {
                writeln!(
                    t,
                    "  if the numbers are in {}: {} from corner to corner (read again with --unit {})",
                    g.unit,
                    size(g.diagonal.0),
                    g.unit
                )?;
            }
        }
        Ok(())
    }

    /// What was mended, shown without its boundary, hidden or odd.
    fn write_mended(&self, t: &mut String) -> std::fmt::Result {
        let i = &self.import;
        if !i.repairs.is_empty() {
            writeln!(t, "\nRepaired:")?;
            for r in i.repairs.iter().take(FEW) {
                let size = r.size.map(|s| shown(s.0, Unit::Millimetre));
                let several = (r.count > 1).then(|| format!("the {} of {}", if size.is_some() { "largest" } else { "first" }, r.count));
                let aside: Vec<String> = size.into_iter().chain(several).collect();
                let aside = if aside.is_empty() { String::new() } else { format!(" ({})", aside.join(", ")) };
                writeln!(t, "  #{} line {}: {}{aside}", r.id, r.line, r.text)?;
            }
            more(t, i.repairs.len(), FEW)?;
        }
        if !i.untrimmed.is_empty() {
            writeln!(t, "\nShown without their boundary, not measured:")?;
            for u in i.untrimmed.iter().take(MOST) {
                writeln!(t, "  face {} #{} line {}: {}", u.face, u.id, u.line, u.reason)?;
            }
            more(t, i.untrimmed.len(), MOST)?;
        }
        if !i.remarks.is_empty() {
            writeln!(t, "\nRemarks:")?;
            for r in i.remarks.iter().take(FEW) {
                let id = r.id.map_or(String::new(), |id| format!("#{id} "));
                let line = r.line.map_or(String::new(), |line| format!("line {line}: "));
                writeln!(t, "  {id}{line}{}", r.text)?;
            }
            more(t, i.remarks.len() + i.remarks_dropped, FEW)?;
        }
        if i.hidden_faces > 0 {
            writeln!(t, "\nHidden in the file and left out: {} faces (read them too with --hidden)", i.hidden_faces)?;
        }
        if i.free_curves > 0 {
            writeln!(t, "\nCurves that bound no face: {}", i.free_curves)?;
        }
        for m in &i.meshes {
            writeln!(t, "\nA mesh of {} triangles, for reference only: there is nothing to review in it", m.triangles)?;
        }
        Ok(())
    }

    /// What it was held against, and how far it lies off it.
    fn write_reference(&self, t: &mut String) -> std::fmt::Result {
        let Some(r) = &self.reference else { return Ok(()) };
        let of = if r.kind == "mesh" { "triangles" } else { "faces" };
        writeln!(t, "\nHeld against {}, a {} of {} {of}:", r.file, r.kind, r.count)?;
        if let Some(d) = &r.distances {
            let mm = |x: f64| shown(x, Unit::Millimetre);
            writeln!(t, "  {} to {}, mean {}, root mean square {}", mm(d.least.value.0), mm(d.most.value.0), mm(d.mean.0), mm(d.rms.0))?;
            let within: Vec<String> = d.within.iter().map(|w| format!("{:.1} % within {}", 100.0 * w.share.0, mm(w.limit.0))).collect();
            writeln!(t, "  {}", within.join(", "))?;
        } else {
            writeln!(t, "  no place of the model lies over it")?;
        }
        let parts = |all: &[super::FarRecord]| all.iter().map(|p| p.area.0).sum::<f64>();
        for (what, all) in [("of the reference without the model near", &r.missing), ("of the model without the reference near", &r.extra)]
        {
            if !all.is_empty() {
                writeln!(t, "  {} in {} parts {what}", shown(parts(all), Unit::SquareMillimetre), all.len())?;
            }
        }
        Ok(())
    }

    fn join_line(&self) -> String {
        const CLASSES: [&str; 8] = ["g3", "g2", "g1", "g0", "crease", "open", "outline", "non_manifold"];
        let count = |class: &str| self.joins.iter().filter(|j: &&JoinRecord| j.class == class).count();
        let parts: Vec<String> = CLASSES.iter().map(|c| (count(c), c)).filter(|x| x.0 > 0).map(|(n, c)| format!("{n} {c}")).collect();
        format!("{} joins: {}", self.joins.len(), if parts.is_empty() { "none".into() } else { parts.join(", ") })
    }
}

fn finding(t: &mut String, f: &FindingRecord, severity: Severity) -> std::fmt::Result {
    let unit = MeasureId::from_text(f.measure).map_or(Unit::Number, MeasureId::unit);
    let [x, y, z] = f.place.point.map(|n| n.0);
    let faces: Vec<String> = f.faces.iter().take(6).map(|i| format!("{i}")).collect();
    let dots = if f.faces.len() > 6 { ", …" } else { "" };
    let plural = if f.faces.len() == 1 { "face" } else { "faces" };
    write!(t, "  {} ", f.measure)?;
    if severity != Severity::Good {
        write!(t, "{} (limit {}) ", shown(f.value.0, unit), shown(f.limit.0, unit))?;
    }
    writeln!(t, "at {x:.1} {y:.1} {z:.1}, {plural} {}{dots}", faces.join(", "))?;
    writeln!(t, "      {}", f.remedy)
}

fn more(t: &mut String, count: usize, shown: usize) -> std::fmt::Result {
    if count > shown { writeln!(t, "  and {} more; --json lists all", count - shown) } else { Ok(()) }
}

/// Counts with their words. Every kind is taken apart, so that a new one cannot be forgotten.
fn by_kind(f: &FaceCounts) -> [(usize, &'static str); 10] {
    let &FaceCounts { nurbs, plane, cylinder, cone, sphere, torus, revolution, extrusion, ruled, offset } = f;
    [
        (nurbs, "spline"),
        (plane, "plane"),
        (cylinder, "cylinder"),
        (cone, "cone"),
        (sphere, "sphere"),
        (torus, "torus"),
        (revolution, "revolution"),
        (extrusion, "extrusion"),
        (ruled, "ruled"),
        (offset, "offset"),
    ]
}
