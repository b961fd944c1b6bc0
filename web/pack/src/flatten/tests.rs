use std::path::Path;

use super::*;

fn made(files: &[(&str, &str)]) -> Result<String, Refused> {
    made_as(Kind::Classic, files)
}

fn made_as(kind: Kind, files: &[(&str, &str)]) -> Result<String, Refused> {
    let read = |name: &str| {
        files.iter().find(|(file, _)| *file == name).map(|(_, text)| (*text).to_owned()).ok_or_else(|| "there is none".to_owned())
    };
    flatten("app.js", kind, &read).map(|flat| flat.script)
}

fn refused(files: &[(&str, &str)]) -> String {
    made(files).expect_err("refused").to_string()
}

#[test]
fn modules_run_once_each_after_those_they_import_from() {
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
// own.js
const $m0 = (() => {
const own = `it's
  import { here } ${1}`;
return { own };
})();
// texts/two.js
const $m1 = (() => {
const { own } = $m0;
const b = own;
class D {
}
return { b, D };
})();
// one.js
const $m2 = (() => {
const { b } = $m1;
async function a(said) {
return said + b;
}
return { a };
})();
// app.js
const { a } = $m2;
const { b: c, D } = $m1;
const x = await a(c);
new D(x);
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
    let files = [("app.js", "import { a, b } from './a.js';\n"), ("a.js", "export const a = 1, b = 2;\n")];
    assert_eq!(refused(&files), "app.js, line 1: a.js does not export b");
}

#[test]
fn other_forms_are_refused_with_their_line() {
    for form in [
        "import './b.js';",
        "import b from './b.js';",
        "import * as b from './b.js';",
        "import { b } from 'b';",
        "import { b } from \"./b.js\";",
        "import { b } from '../../b.js';",
        "import {",
        "import { 'b c' as d } from './b.js';",
        "export default 1;",
        "export { b };",
        "export * from './b.js';",
        "export let b = 1;",
        "export var b = 1;",
        "export const { b } = c;",
        "export function* b() {}",
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
    let Flat { script, modules } = flatten("app.js", Kind::Classic, &read).expect("one script");
    assert!(modules.len() > 150, "{} modules", modules.len());
    assert_eq!(script.lines().filter(|line| line.starts_with("const $m")).count() + 1, modules.len());
    let left = |word: &str| script.lines().filter(|line| line.starts_with(word)).count();
    assert_eq!((left("import "), left("export ")), (0, 0));
    assert!(script.contains("\n// app.js\n") && script.contains("await loadModule()"));
}
