//! The media type of a file name.

/// The media type to state for a file, by its extension; octets where the extension says nothing.
///
/// Source: the IANA media type registry.
pub fn type_of(name: &str) -> &'static str {
    let extension = name.rsplit_once('.').map_or("", |(_, extension)| extension);
    match extension.to_ascii_lowercase().as_str() {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "wasm" => "application/wasm",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "ico" => "image/vnd.microsoft.icon",
        "woff2" => "font/woff2",
        "txt" | "md" => "text/plain; charset=utf-8",
        "stp" | "step" => "model/step",
        "igs" | "iges" => "model/iges",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::type_of;

    #[test]
    fn what_a_browser_insists_on() {
        // A streaming compile and a module script are refused under any other type.
        assert_eq!(type_of("rakelight_bg.wasm"), "application/wasm");
        assert_eq!(type_of("app/main.js"), "text/javascript; charset=utf-8");
        assert_eq!(type_of("MODEL.STP"), "model/step");
        assert_eq!(type_of("noextension"), "application/octet-stream");
        assert_eq!(type_of(""), "application/octet-stream");
    }
}
