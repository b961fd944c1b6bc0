//! Words as a hostile author would have them, for every place where a page, a file or a report shows what it was given; and what
//! tells whether one of them ran.

/// Each does something where it is taken for more than words: markup, a script, an address, the end of what it stands in.
pub const PAYLOADS: [&str; 9] = [
    "<img src=x onerror=globalThis.ran=1>",
    "<svg onload=globalThis.ran=1>",
    "<script>globalThis.ran=1</script>",
    "\"><svg/onload=globalThis.ran=1>",
    "'><details open ontoggle=globalThis.ran=1>",
    "javascript:globalThis.ran=1",
    "</title></style></textarea></script><iframe srcdoc=\"<script>top.ran=1</script>\">",
    "{{constructor.constructor('globalThis.ran=1')()}}${globalThis.ran=1}",
    "__proto__ <a href=javascript:globalThis.ran=1 autofocus onfocus=globalThis.ran=1>constructor</a>",
];

/// The payload of a number, with that number before it to be told by: "w12 <svg …".
pub fn words(number: usize) -> String {
    format!("w{number} {}", PAYLOADS[number % PAYLOADS.len()])
}

/// A file name that holds one: no slash, which none can.
pub const FILE_NAME: &str = "w0 <img src=x onerror=globalThis.ran=1>.step";

/// A STEP model with every name in it replaced: those of its faces and products, and who wrote it. How many there are is returned too.
///
/// Strings of Part 21 stand between apostrophes, which are doubled inside.
pub fn step(text: &str) -> (String, usize) {
    let mut count = 0;
    let mut next = || {
        count += 1;
        words(count).replace('\'', "''")
    };
    let lines = text.lines().map(|line| {
        if line.starts_with("FILE_NAME(") {
            let [name, author, firm, system, origin, who] = std::array::from_fn(|_| next());
            return format!("FILE_NAME('{name}','2030-01-31T12:00:00',('{author}'),('{firm}'),'{system}','{origin}','{who}');");
        }
        if line.starts_with("FILE_DESCRIPTION(") {
            return format!("FILE_DESCRIPTION(('{}'),'2;1');", next());
        }
        let mut out = String::new();
        let mut rest = line;
        for kind in ["ADVANCED_FACE('", "PRODUCT('", "PRESENTATION_LAYER_ASSIGNMENT('"] {
            if let Some((before, after)) = rest.split_once(kind)
                && let Some((_, after)) = after.split_once('\'')
            {
                out.push_str(before);
                out.push_str(kind);
                out.push_str(&next());
                out.push('\'');
                rest = after;
            }
        }
        out + rest
    });
    let text = lines.collect::<Vec<_>>().join("\n");
    (text, count)
}

/// An expression of the page that lists what has run or stands ready to: empty where words stayed words.
///
/// The page's own scripts are the two of its head, or those that one file consists of; it has no listeners in attributes and no frames.
pub const AUDIT: &str = "[
    ...(globalThis.ran === undefined ? [] : ['a payload ran']),
    ...(({}).ran === undefined && ({}).polluted === undefined ? [] : ['a prototype was changed']),
    ...[...document.scripts].filter((one) => !['rakelight.js', 'app.js'].includes(one.getAttribute('src'))
        && !(one.parentNode === document.body && /^packed(-notices|-wasm|-worker|-bindings|-script)?$/.test(one.id))).map((one) => one.outerHTML),
    ...(document.querySelectorAll('body > [id^=packed]').length > 6 ? ['more than the elements of one file'] : []),
    ...[...document.querySelectorAll('iframe, object, embed, base, meta[http-equiv=refresh]')].map((one) => one.outerHTML),
    ...[...document.querySelectorAll('link')]
        .filter((one) => !/^(css\\/[a-z]+\\.css|mark\\.svg|rakelight\\.webmanifest|data:image\\/svg[+]xml;base64,[A-Za-z0-9+/=]+)$/.test(one.getAttribute('href')))
        .map((one) => one.outerHTML),
    ...[...document.querySelectorAll('*')].flatMap((node) => [...node.attributes]
        .filter(({ name, value }) => name.startsWith('on') || name === 'srcdoc'
            || (['href', 'src', 'action', 'formaction', 'xlink:href'].includes(name) && /^\\s*javascript:/i.test(value)))
        .map(({ name, value }) => `${node.tagName} ${name}=${value}`)),
]";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_of_a_model_is_replaced_and_it_still_reads() {
        use rakelight_core::demo::bramble::{Revision, step as demo};
        use rakelight_core::exchange::{Limits, read};
        use rakelight_core::progress::Silent;
        let plain = demo(Revision::A);
        let (text, count) = step(&plain);
        let count_of = |text: &str| read(text.as_bytes(), "a.step", &Limits::default(), &mut Silent).expect("it reads").model.faces.len();
        let import = read(text.as_bytes(), FILE_NAME, &Limits::default(), &mut Silent).expect("it reads");
        assert_eq!(import.model.faces.len(), count_of(&plain));
        assert!(import.model.faces.iter().all(|face| face.name.starts_with('w')), "a face kept its name");
        assert!(count > import.model.faces.len());
        for number in 1..=PAYLOADS.len() {
            assert!(text.contains(&words(number).replace('\'', "''")), "{}", words(number));
        }
    }
}
