//! Control points as a float texture.

use super::Gl;
use super::program::{MAX_DEGREE, NET_WIDTH};
use crate::packet::BezierGrid;
use wasm_bindgen::JsValue;
use web_sys::WebGlTexture;

/// The texels of a Bézier grid: breakpoints (place, 1/width of the span) along u, then v, both
/// normalised over the (u,v) box, then the homogeneous control points, block by block.
///
/// `None` when the degree is above what the shader evaluates or the grid is taller than
/// `max_rows` rows of [`NET_WIDTH`] texels; the face is then drawn by vertex normals.
pub fn net_texels(grid: &BezierGrid, uv_box: &[f64; 4], max_rows: usize) -> Option<Vec<f32>> {
    let count = grid.breaks_u.len() + grid.breaks_v.len() + grid.points.len();
    let rows = count.div_ceil(NET_WIDTH);
    let [su, sv] = grid.spans();
    if grid.degree.iter().any(|p| *p > MAX_DEGREE || *p == 0) || su == 0 || sv == 0 || rows > max_rows {
        return None;
    }
    let mut texels = Vec::with_capacity(rows * NET_WIDTH * 4);
    for (breaks, low, high) in [(&grid.breaks_u, uv_box[0], uv_box[1]), (&grid.breaks_v, uv_box[2], uv_box[3])] {
        let size = if high > low { high - low } else { 1.0 };
        let place = |b: f64| (b - low) / size;
        for (i, b) in breaks.iter().enumerate() {
            let width = breaks.get(i + 1).map_or(1.0, |next| place(*next) - place(*b));
            texels.extend_from_slice(&[place(*b) as f32, (1.0 / width) as f32, 0.0, 0.0]);
        }
    }
    texels.extend(grid.points.iter().flatten().map(|x| *x as f32));
    texels.resize(rows * NET_WIDTH * 4, 0.0);
    Some(texels)
}

/// Uploads texels in rows of [`NET_WIDTH`].
pub fn upload_net(gl: &Gl, texels: &[f32]) -> Result<WebGlTexture, JsValue> {
    let texture = gl.create_texture().ok_or("no texture object")?;
    let rows = texels.len() / 4 / NET_WIDTH;
    gl.bind_texture(Gl::TEXTURE_2D, Some(&texture));
    gl.tex_image_2d_with_i32_and_i32_and_i32_and_format_and_type_and_opt_array_buffer_view(
        Gl::TEXTURE_2D,
        0,
        Gl::RGBA32F as i32,
        NET_WIDTH as i32,
        rows as i32,
        0,
        Gl::RGBA,
        Gl::FLOAT,
        Some(&js_sys::Float32Array::from(texels)),
    )?;
    for name in [Gl::TEXTURE_MIN_FILTER, Gl::TEXTURE_MAG_FILTER] {
        gl.tex_parameteri(Gl::TEXTURE_2D, name, Gl::NEAREST as i32);
    }
    Ok(texture)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(degree: [usize; 2]) -> BezierGrid {
        let block = (degree[0] + 1) * (degree[1] + 1);
        BezierGrid {
            degree,
            breaks_u: vec![2.0, 4.0, 8.0],
            breaks_v: vec![0.0, 5.0],
            points: (0..2 * block).map(|i| [i as f64, 0.5, 0.25, 1.0]).collect(),
        }
    }

    #[test]
    fn breakpoints_are_normalised_over_the_box_and_points_follow() {
        let t = net_texels(&grid([2, 3]), &[2.0, 10.0, 0.0, 2.5], 100).expect("fits");
        assert_eq!(t.len() % (NET_WIDTH * 4), 0);
        assert_eq!(&t[0..12], &[0.0, 4.0, 0.0, 0.0, 0.25, 2.0, 0.0, 0.0, 0.75, 1.0, 0.0, 0.0]);
        assert_eq!(&t[12..16], &[0.0, 0.5, 0.0, 0.0]);
        assert_eq!(&t[20..28], &[0.0, 0.5, 0.25, 1.0, 1.0, 0.5, 0.25, 1.0]);
    }

    #[test]
    fn degrees_and_sizes_beyond_the_shader_are_left_to_vertex_normals() {
        let uv = [2.0, 8.0, 0.0, 5.0];
        assert!(net_texels(&grid([MAX_DEGREE, MAX_DEGREE]), &uv, 100).is_some());
        assert!(net_texels(&grid([MAX_DEGREE + 1, 1]), &uv, 100).is_none());
        assert!(net_texels(&grid([9, 9]), &uv, 0).is_none());
    }
}
