//! What all surfaces of revolution share: S = o + ρ(v) e(u) + h(v) z with e(u) the turning unit vector.

use crate::math::{Frame, real};
use crate::nurbs::SurfaceDerivs;

/// Derivatives from those of the profile: `radial` and `axial` hold ρ, ρ′, ρ″, ρ‴ and h, h′, h″, h‴ at v.
pub(super) fn derivs(frame: &Frame, u: f64, radial: [f64; 4], axial: [f64; 4]) -> SurfaceDerivs {
    let (sin, cos) = real::sin_cos(u);
    let e = frame.x * cos + frame.y * sin;
    let turned = frame.y * cos - frame.x * sin;
    let [r0, r1, r2, r3] = radial;
    SurfaceDerivs {
        s: frame.origin + e * r0 + frame.z * axial[0],
        su: turned * r0,
        sv: e * r1 + frame.z * axial[1],
        suu: e * -r0,
        suv: turned * r1,
        svv: e * r2 + frame.z * axial[2],
        suuu: turned * -r0,
        suuv: e * -r1,
        suvv: turned * r2,
        svvv: e * r3 + frame.z * axial[3],
    }
}
