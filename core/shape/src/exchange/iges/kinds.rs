//! The numbers of entity types, and what they are called in messages. IGES 5.3, table of contents of chapter 4.

/// The type's number and what it is, in words for the user.
pub(super) fn name(kind: u32) -> String {
    match words(kind) {
        "" => kind.to_string(),
        words => format!("{kind} {words}"),
    }
}

fn words(kind: u32) -> &'static str {
    match kind {
        100 => "circular arc",
        102 => "composite curve",
        104 => "conic arc",
        106 => "copious data",
        108 => "plane",
        110 => "line",
        112 => "parametric spline curve",
        114 => "parametric spline surface",
        116 => "point",
        118 => "ruled surface",
        120 => "surface of revolution",
        122 => "tabulated cylinder",
        123 => "direction",
        124 => "transformation matrix",
        126 => "B-spline curve",
        128 => "B-spline surface",
        130 => "offset curve",
        140 => "offset surface",
        141 => "boundary",
        142 => "curve on a surface",
        143 => "bounded surface",
        144 => "trimmed surface",
        150 | 152 | 154 | 156 | 158 | 160 | 162 | 164 | 168 => "solid primitive",
        180 => "Boolean tree",
        182 => "selected component",
        184 => "solid assembly",
        186 => "solid",
        190 => "plane surface",
        192 => "cylindrical surface",
        194 => "conical surface",
        196 => "spherical surface",
        198 => "toroidal surface",
        308 => "subfigure definition",
        314 => "colour definition",
        402 => "group",
        406 => "property",
        408 => "subfigure instance",
        412 | 414 => "array of subfigures",
        416 => "external reference",
        430 => "solid instance",
        502 => "vertex list",
        504 => "edge list",
        508 => "loop",
        510 => "face",
        514 => "shell",
        _ => "",
    }
}

/// What an entity can be when it stands for itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// A face: trimmed, bounded, or a surface over its whole domain.
    Face,
    /// Several faces: a solid, shell, group, or instance.
    Faces,
    Curve,
    /// Faces of a type that is not read.
    Unread,
    /// Points, properties, annotation, views, lists that others use.
    Nothing,
}

/// The role of a type in its form.
pub(super) fn role(kind: u32, form: i64) -> Role {
    match kind {
        108 if form == 0 => Role::Nothing,
        106 if !polyline(form) => Role::Nothing,
        108 | 114 | 118 | 120 | 122 | 128 | 140 | 143 | 144 | 196 | 198 | 510 => Role::Face,
        186 | 308 | 402 | 408 | 430 | 514 => Role::Faces,
        100 | 102 | 104 | 106 | 110 | 112 | 126 | 130 => Role::Curve,
        150 | 152 | 154 | 156 | 158 | 160 | 162 | 164 | 168 | 180 | 184 | 412 | 414 | 416 => Role::Unread,
        _ => Role::Nothing,
    }
}

/// Forms of copious data that are lines through points; the others are points, hatches and witness lines.
pub(super) fn polyline(form: i64) -> bool {
    matches!(form, 11 | 12 | 13 | 63)
}
