use std::path::Path;

use super::*;

fn made(files: &[(&str, &str)]) -> Result<String, Refused> {
    made_as(Kind::Classic, files)
}

fn made_as(kind: Kind, files: &[(&str, &str)]) -> Result<String, Refused> {
    let read = |name: &str| {
        files.iter().find(|(file, _)| *file == name).map(|(_, text)| (*text).to_owned()).ok_or_else(|| "there is none".to_owned())
    };
    together("app.js", kind, &read).map(|(script, _)| script)
}

fn refused(files: &[(&str, &str)]) -> String {
    made(files).expect_err("refused").to_string()
}

#[test]
fn modules_run_once_each_after_those_they_import_from_under_names_of_their_own() {
    let script = made(&[
        (
            "app.js",
            "// Wiring.\n\nimport { a } from './one.js';\nimport { b as c, D } from './texts/two.js';\n\nconst x = await a(c);\nnew D(x);\n",
        ),
        ("one.js", "import { b } from './texts/two.js';\n/** Says b. */\nexport async function a(said) {\n  return said + b;\n}\n"),
        ("texts/two.js", "import { own } from '../own.js';\nexport const b = own;\nexport class D {\n}\n"),
        ("own.js", "export const own = `it's\n  import { here } ${1}`;\n"),
    ]);
    let wanted = "'use strict';
(async () => {
const own$0 = `it's
  import { here } ${1}`;
const b$1 = own$0;
class D$1 {}
async function a$2(said) {
\treturn said + b$1;
}
const x$3 = await a$2(b$1);
new D$1(x$3);
})();
";
    assert_eq!(script.as_deref(), Ok(wanted));
}

#[test]
fn imports_in_a_circle_are_refused() {
    let why = refused(&[
        ("app.js", "import { a } from './a.js';\n"),
        ("a.js", "export const a = 1;\nimport { b } from './b.js';\n"),
        ("b.js", "import { a } from './a.js';\nexport const b = a;\n"),
    ]);
    assert_eq!(why, "b.js, line 1: imports in a circle, from a.js back to it");
}

#[test]
fn what_is_not_there_is_told_where_it_is_asked_for() {
    assert_eq!(refused(&[("app.js", "\nimport { a } from './a.js';\n")]), "app.js, line 2: a.js: there is none");
    let files = [("app.js", "import { a, b } from './a.js';\n"), ("a.js", "export const a = 1;\nconst b = 2;\n")];
    assert_eq!(refused(&files), "app.js, line 1: a.js does not export b");
}

#[test]
fn other_forms_are_refused_with_their_line() {
    for form in [
        "import './b.js';",
        "import b from './b.js';",
        "import * as b from './b.js';",
        "import { b } from 'b';",
        "import { b } from '../../b.js';",
        "import { 1 } from './b.js';",
        "import { 'b c' as d } from './b.js';",
        "export default 1;",
        "export { b };",
        "export * from './b.js';",
        "export let b = 1;",
        "export var b = 1;",
        "export const { b } = c;",
        "const b = import('./b.js');",
        "const b = import.meta.url;",
        "const b = '</SCRIPT>';",
        "const b = '<!--';",
        "const $m0 = 1;",
        "const b = 'c",
    ] {
        let text = format!("import {{ a }} from './a.js';\n\n{form}\n");
        let why = refused(&[("app.js", &text), ("a.js", "export const a = 1;\n"), ("b.js", "export const b = 1;\n")]);
        assert!(why.starts_with("app.js, line 3: "), "{form}: {why}");
    }
}

#[test]
fn only_the_entry_of_a_module_may_ask_for_its_address() {
    let entry = "import { a } from './a.js';\nconst here = import.meta.url;\n";
    assert!(made_as(Kind::Module, &[("app.js", entry), ("a.js", "export const a = 1;\n")]).is_ok());
    let deeper = [("app.js", "import { a } from './a.js';\n"), ("a.js", "export const a = import.meta.url;\n")];
    assert!(made_as(Kind::Module, &deeper).is_err_and(|why| why.to_string().starts_with("a.js, line 1: ")));
}

#[test]
fn the_front_end_itself_makes_one_script() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../www");
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let (long, modules) = together("app.js", Kind::Classic, &read).expect("one script");
    assert!(modules.len() > 150, "{} modules", modules.len());
    let left = |word: &str| long.lines().filter(|line| line.starts_with(word)).count();
    assert_eq!((left("import "), left("export ")), (0, 0));
    let Flat { script, modules: same } = flatten("app.js", Kind::Classic, &read).expect("one script");
    assert_eq!(same, modules);
    assert!(script.len() * 3 < long.len() * 2, "{} of {} bytes", script.len(), long.len());
    // A name of each kind that must stay: of an element, of an attribute of a state, of a message.
    for name in ["use strict", ".selection", ".graphics", "packed-wasm"] {
        assert!(script.contains(name), "{name}");
    }
}

#[test]
fn inner_names_hide_outer_ones_as_before() {
    let one = "import { b } from './b.js';\nexport const a = (c) => ({ b, c, d: ((b) => b)(c), e });\nconst e = { b, e: 1 };\n";
    let script =
        made(&[("app.js", "import { a as b } from './a.js';\nf(b, (a) => a, e);\n"), ("a.js", one), ("b.js", "export const b = 1;\n")]);
    let wanted = "'use strict';
(async () => {
const b$0 = 1;
const a$1 = (c) => ({
\tb: b$0,
\tc,
\td: ((b) => b)(c),
\te: e$1
});
const e$1 = {
\tb: b$0,
\te: 1
};
f(a$1, (a) => a, e);
})();
";
    assert_eq!(script.as_deref(), Ok(wanted));
}
