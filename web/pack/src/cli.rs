//! What the arguments ask for.

use std::ffi::OsString;
use std::fmt;
use std::path::PathBuf;

use rakelight_core::reference::FAR;
use rakelight_core::review::report::Form;
use rakelight_core::review::{UNITS, ZoneRule};

/// Printed by `--help`.
pub const HELP: &str = "\
Rakelight: inspect the quality of freeform surface models.

Usage:
  cargo run --release                         build, serve on 127.0.0.1, open the browser
  cargo run --release -- open FILE            the same, with FILE opened (\"open\" may be left out)
  cargo run --release -- check FILE [OPTIONS] review FILE here, without a browser
  cargo run --release -- pack DIR             write the static folder for a web host
  cargo run --release -- pack-one FILE.html [--model FILE] [--review FILE]
                                              write the page as one file that opens from disk, with a model and a
                                              saved review in it if you like

Options of check:
  --json                 print the review as JSON (schema: www/check.schema.json)
  --report FORM          print a report instead: html, markdown, findings or joins (CSV),
                         or json (schema: www/report.schema.json)
  --review FILE          a review that was saved in the page: what it says of findings, its pins,
                         checklist and rating go into the report, or as a verdict after the text
  --yardstick NAME       limits to judge by: visible (default), secondary, hidden
  --zone-rule RULE       other limits for some faces, as in layer=Inner:hidden, colour=#ff8000:secondary or
                         name=Rib*:hidden; the first of several rules that fits a face counts
  --unit NAME            take the file's lengths for mm, cm, m, inch or ft, whatever it states
  --hidden               read what the file hides as well
  --reference FILE       hold FILE against this model or mesh (STEP, IGES, STL, PLY): distances, what is missing
  --earlier FILE         an earlier revision: what was fixed, what remains, what is new
  --near MM              what is farther from the reference is missing or extra, not off (5)

FILE is told by what it holds, whatever its name: STEP (.stp .step .p21, or zipped .stpz .zip) and
IGES (.igs .iges) are reviewed; meshes (.stl .ply) are references, with nothing to review in them.

  -h, --help             print this
  -V, --version          print the version
  --                     what follows is a file name

Without FILE, open and check take the demo model.

Exit codes: 0 done, no serious finding; 1 check found something serious;
2 wrong usage, or a file, or every face in it, could not be read.
";

/// One complete command.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Build, serve and open the browser, on a file or the demo model.
    Open {
        /// The file to open; none for the demo model.
        file: Option<PathBuf>,
    },
    /// Review a file natively.
    Check {
        /// The file to review; none for the demo model.
        file: Option<PathBuf>,
        /// What is printed.
        print: Print,
        /// Which limits to judge by.
        yardstick: Column,
        /// Faces that are judged by other ones.
        rules: Vec<ZoneRule>,
        /// How the file is read.
        reading: Reading,
        /// Files it is put beside.
        others: Others,
    },
    /// Write the static folder.
    Pack {
        /// The folder to write.
        folder: PathBuf,
    },
    /// Write the page as one file.
    PackOne {
        /// The file to write.
        file: PathBuf,
        /// A model to put into it.
        model: Option<PathBuf>,
        /// A saved review to put into it.
        review: Option<PathBuf>,
    },
    /// Print the help.
    Help,
    /// Print the version.
    Version,
}

/// What a check prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Print {
    /// Text for a terminal.
    #[default]
    Text,
    /// The check as JSON.
    Json,
    /// A report.
    Report(Form),
}

/// Files that a check puts the reviewed one beside.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Others {
    /// What it is held against, if anything.
    pub against: Option<Against>,
    /// The revision before it, if any.
    pub earlier: Option<PathBuf>,
    /// What a reviewer said of it, if anything.
    pub review: Option<PathBuf>,
}

/// What a model is held against.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// Its file.
    pub file: PathBuf,
    /// Distance from which on a part of the one is missing in the other, mm, > 0.
    pub near: f64,
}

/// How a file is read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reading {
    /// Millimetres to take for the file's unit of length, whatever it states.
    pub unit: Option<f64>,
    /// Read what the file hides too.
    pub hidden: bool,
}

/// Column of the yardstick that a review judges by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Column {
    /// Surfaces in plain sight.
    #[default]
    Visible,
    /// Surfaces seen now and then.
    Secondary,
    /// Surfaces nobody sees.
    Hidden,
}

impl Column {
    /// The name used on the command line and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Self::Visible => "visible",
            Self::Secondary => "secondary",
            Self::Hidden => "hidden",
        }
    }

    fn from_name(name: &str) -> Option<Self> {
        [Self::Visible, Self::Secondary, Self::Hidden].into_iter().find(|column| column.name() == name)
    }
}

/// The arguments make no command; the message says why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsageError(String);

impl fmt::Display for UsageError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} (see --help)", self.0)
    }
}

impl std::error::Error for UsageError {}

/// Reads the arguments after the program's name.
///
/// # Errors
/// An unknown option, an option on a command that has none, a missing or surplus file name.
pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Command, UsageError> {
    let mut verb = None;
    let mut files: Vec<PathBuf> = Vec::new();
    let mut print = Print::Text;
    let mut review: Option<PathBuf> = None;
    let mut model: Option<PathBuf> = None;
    let mut yardstick = None;
    let mut rules: Vec<ZoneRule> = Vec::new();
    let mut reading = Reading::default();
    let mut reference: Option<PathBuf> = None;
    let mut near = None;
    let mut earlier: Option<PathBuf> = None;
    let mut only_files = false;
    let mut arguments = arguments.into_iter();
    while let Some(argument) = arguments.next() {
        let text = argument.to_string_lossy().into_owned();
        if only_files || !text.starts_with('-') || text == "-" {
            match text.as_str() {
                "open" | "check" | "pack" | "pack-one" if verb.is_none() && files.is_empty() && !only_files => {
                    verb = Some(text);
                }
                "help" if verb.is_none() && files.is_empty() && !only_files => {
                    return Ok(Command::Help);
                }
                _ => files.push(argument.into()),
            }
            continue;
        }
        match text.split_once('=').map_or((text.as_str(), None), |(name, value)| (name, Some(value.to_owned()))) {
            ("--", None) => only_files = true,
            ("-h" | "--help", None) => return Ok(Command::Help),
            ("-V" | "--version", None) => return Ok(Command::Version),
            ("--json", None) => print = once(print, Print::Json)?,
            ("--hidden", None) => reading.hidden = true,
            (name @ ("--reference" | "--earlier" | "--review" | "--model"), value) => {
                let file = value.map_or_else(|| arguments.next(), |name| Some(name.into()));
                let file = file.filter(|f| !f.is_empty()).ok_or_else(|| UsageError(format!("{name} needs a file")))?;
                let place = match name {
                    "--earlier" => &mut earlier,
                    "--review" => &mut review,
                    "--model" => &mut model,
                    _ => &mut reference,
                };
                *place = Some(file.into());
            }
            ("--zone-rule", value) => {
                let text = value.or_else(|| arguments.next().map(|v| v.to_string_lossy().into_owned())).unwrap_or_default();
                rules.push(ZoneRule::read(&text).map_err(|why| UsageError(format!("--zone-rule \"{text}\": {why}")))?);
            }
            ("--near", value) => {
                let value = value.or_else(|| arguments.next().map(|v| v.to_string_lossy().into_owned())).unwrap_or_default();
                let mm = value.parse().ok().filter(|mm: &f64| *mm > 0.0 && mm.is_finite());
                near = Some(mm.ok_or_else(|| UsageError("--near needs a distance in mm, above 0".into()))?);
            }
            (name @ ("--yardstick" | "--unit" | "--report"), value) => {
                let chosen = match value {
                    Some(value) => value,
                    None => arguments.next().ok_or_else(|| UsageError(format!("{name} needs a name")))?.to_string_lossy().into_owned(),
                };
                if name == "--unit" {
                    reading.unit = Some(unit(&chosen)?);
                } else if name == "--report" {
                    print = once(print, Print::Report(form(&chosen)?))?;
                } else {
                    yardstick = Some(
                        Column::from_name(&chosen)
                            .ok_or_else(|| UsageError(format!("no yardstick \"{chosen}\"; there are visible, secondary, hidden")))?,
                    );
                }
            }
            _ => return Err(UsageError(format!("unknown option {text}"))),
        }
    }
    let verb = verb.as_deref().unwrap_or("open");
    if model.is_some() && verb != "pack-one" {
        return Err(UsageError(format!("--model belongs to pack-one, not {verb}: name the file without it")));
    }
    let held = reference.is_some() || near.is_some() || earlier.is_some() || (review.is_some() && verb != "pack-one");
    if verb != "check" && (print != Print::Text || yardstick.is_some() || !rules.is_empty() || reading != Reading::default() || held) {
        return Err(UsageError(format!(
            "--json, --report, --review, --yardstick, --zone-rule, --unit, --hidden, --reference, --near and --earlier belong to check, not {verb}"
        )));
    }
    if near.is_some() && reference.is_none() {
        return Err(UsageError("--near says how near to a --reference, which is not given".into()));
    }
    if review.is_some() && print == Print::Json {
        return Err(UsageError("--json tells what was measured only; --report json tells what a --review says too".into()));
    }
    if let Some(extra) = files.get(1) {
        return Err(UsageError(format!("one name too many: {}", extra.display())));
    }
    let file = files.pop();
    match verb {
        "check" => {
            let against = reference.map(|file| Against { file, near: near.unwrap_or(FAR) });
            let others = Others { against, earlier, review };
            Ok(Command::Check { file, print, yardstick: yardstick.unwrap_or_default(), rules, reading, others })
        }
        "pack-one" => one_file(file).map(|file| Command::PackOne { file, model, review }),
        "pack" => file.map(|folder| Command::Pack { folder }).ok_or_else(|| UsageError("pack needs a folder to write to".into())),
        _ => Ok(Command::Open { file }),
    }
}

/// A name to write a page to: by its ending no model, which would be lost.
fn one_file(file: Option<PathBuf>) -> Result<PathBuf, UsageError> {
    let file = file.ok_or_else(|| UsageError("pack-one needs a file to write to, as in part.html".into()))?;
    let page = file.extension().is_some_and(|ending| ["html", "htm"].iter().any(|one| ending.eq_ignore_ascii_case(one)));
    if page { Ok(file) } else { Err(UsageError(format!("pack-one writes a page: {} should end in .html", file.display()))) }
}

/// One thing is printed.
fn once(before: Print, now: Print) -> Result<Print, UsageError> {
    let clash = before != Print::Text && before != now;
    if clash { Err(UsageError("one of --json and --report, once".into())) } else { Ok(now) }
}

/// The form of a report given by name.
fn form(name: &str) -> Result<Form, UsageError> {
    Form::from_text(name).ok_or_else(|| {
        let names: Vec<&str> = Form::ALL.iter().map(|f| f.0).collect();
        UsageError(format!("no report \"{name}\"; there are {}", names.join(", ")))
    })
}

/// Millimetres in a unit of length given by name.
fn unit(name: &str) -> Result<f64, UsageError> {
    let found = UNITS.iter().find(|(unit, _)| *unit == name).map(|(_, mm)| *mm);
    found.ok_or_else(|| {
        let names: Vec<&str> = UNITS.iter().map(|(unit, _)| *unit).collect();
        UsageError(format!("no unit \"{name}\"; there are {}", names.join(", ")))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(line: &str) -> Result<Command, UsageError> {
        parse(line.split_whitespace().map(OsString::from))
    }

    fn open(file: Option<&str>) -> Result<Command, UsageError> {
        Ok(Command::Open { file: file.map(PathBuf::from) })
    }

    fn check(file: Option<&str>, json: bool, yardstick: Column) -> Result<Command, UsageError> {
        let print = if json { Print::Json } else { Print::Text };
        let (reading, others) = (Reading::default(), Others::default());
        Ok(Command::Check { file: file.map(PathBuf::from), print, yardstick, rules: Vec::new(), reading, others })
    }

    #[test]
    fn commands_read_as_written() {
        assert_eq!(read(""), open(None));
        assert_eq!(read("open"), open(None));
        assert_eq!(read("a.stp"), open(Some("a.stp")));
        assert_eq!(read("open a.stp"), open(Some("a.stp")));
        assert_eq!(read("open check"), open(Some("check")));
        assert_eq!(read("-- -odd.stp"), open(Some("-odd.stp")));
        assert_eq!(read("-- open"), open(Some("open")));
        assert_eq!(read("check"), check(None, false, Column::Visible));
        assert_eq!(read("check a.stp"), check(Some("a.stp"), false, Column::Visible));
        assert_eq!(read("check --json a.stp"), check(Some("a.stp"), true, Column::Visible));
        assert_eq!(read("check a.stp --yardstick hidden --json"), check(Some("a.stp"), true, Column::Hidden));
        assert_eq!(read("check a.stp --yardstick=secondary"), check(Some("a.stp"), false, Column::Secondary));
        assert_eq!(read("pack out"), Ok(Command::Pack { folder: "out".into() }));
        let one = |file: &str, model: Option<&str>, review: Option<&str>| {
            Ok(Command::PackOne { file: file.into(), model: model.map(PathBuf::from), review: review.map(PathBuf::from) })
        };
        assert_eq!(read("pack-one out.html"), one("out.html", None, None));
        assert_eq!(read("pack-one --model a.stp OUT.HTM --review=r.json"), one("OUT.HTM", Some("a.stp"), Some("r.json")));
        assert_eq!(read("--help"), Ok(Command::Help));
        assert_eq!(read("check -h"), Ok(Command::Help));
        assert_eq!(read("-V"), Ok(Command::Version));
    }

    #[test]
    fn a_unit_and_what_is_hidden_can_be_asked_for() {
        let reading = |line: &str| match read(line) {
            Ok(Command::Check { reading, .. }) => (reading.unit, reading.hidden),
            other => panic!("{line}: {other:?}"),
        };
        assert_eq!(reading("check a.stp"), (None, false));
        assert_eq!(reading("check a.stp --unit inch"), (Some(25.4), false));
        assert_eq!(reading("check --hidden --unit=m a.stp"), (Some(1000.0), true));
    }

    #[test]
    fn rules_for_zones_can_be_given_more_than_once() {
        let rules = |line: &str| match read(line) {
            Ok(Command::Check { rules, .. }) => rules,
            other => panic!("{line}: {other:?}"),
        };
        let rule = |text: &str| ZoneRule::read(text).expect(text);
        assert_eq!(rules("check a.stp"), []);
        let both = rules("check --zone-rule layer=Inner:hidden --zone-rule=name=Rib*:secondary a.stp");
        assert_eq!(both, [rule("layer=Inner:hidden"), rule("name=Rib*:secondary")]);
    }

    #[test]
    fn a_reference_can_be_asked_for() {
        let against = |line: &str| match read(line) {
            Ok(Command::Check { others, .. }) => others.against.map(|a| (a.file, a.near)),
            other => panic!("{line}: {other:?}"),
        };
        assert_eq!(against("check a.stp"), None);
        assert_eq!(against("check a.stp --reference b.ply"), Some(("b.ply".into(), 5.0)));
        assert_eq!(against("check --reference=b.stl --near 0.5 a.stp"), Some(("b.stl".into(), 0.5)));
    }

    #[test]
    fn an_earlier_revision_can_be_given() {
        let earlier = |line: &str| match read(line) {
            Ok(Command::Check { others, .. }) => others.earlier,
            other => panic!("{line}: {other:?}"),
        };
        assert_eq!(earlier("check b.stp"), None);
        assert_eq!(earlier("check b.stp --earlier a.stp"), Some("a.stp".into()));
    }

    #[test]
    fn a_report_and_what_was_said_can_be_asked_for() {
        let asked = |line: &str| match read(line) {
            Ok(Command::Check { print, others, .. }) => (print, others.review),
            other => panic!("{line}: {other:?}"),
        };
        assert_eq!(asked("check a.stp --report markdown"), (Print::Report(Form::Markdown), None));
        assert_eq!(asked("check a.stp --review=r.json --report=html"), (Print::Report(Form::Html), Some("r.json".into())));
        assert_eq!(asked("check a.stp --review r.json"), (Print::Text, Some("r.json".into())));
    }

    #[test]
    fn wrong_usage_says_why() {
        for (line, part) in [
            ("--jsn", "unknown option --jsn"),
            ("--json=yes check", "unknown option"),
            ("a.stp b.stp", "one name too many: b.stp"),
            ("check a b", "one name too many"),
            ("pack", "pack needs a folder"),
            ("pack a --json", "belong to check, not pack"),
            ("pack-one", "pack-one needs a file"),
            ("pack-one a.stp", "a.stp should end in .html"),
            ("pack-one a.html b.stp", "one name too many: b.stp"),
            ("pack-one a.html --model", "--model needs a file"),
            ("pack-one a.html --hidden", "belong to check, not pack-one"),
            ("check --model a.stp", "--model belongs to pack-one, not check"),
            ("pack a --review r.json", "belong to check, not pack"),
            ("--yardstick visible", "belong to check, not open"),
            ("check --yardstick", "needs a name"),
            ("check --unit furlong", "no unit \"furlong\"; there are mm"),
            ("check --unit", "--unit needs a name"),
            ("open a --hidden", "belong to check"),
            ("check a --reference", "needs a file"),
            ("check a --near 3", "which is not given"),
            ("check a --earlier", "--earlier needs a file"),
            ("check a --report pdf", "no report \"pdf\"; there are html"),
            ("check a --report html --json", "one of --json and --report"),
            ("check a --review", "--review needs a file"),
            ("check a --json --review r", "--report json"),
            ("open a --report html", "belong to check"),
            ("open a --earlier b", "belong to check, not open"),
            ("check a --reference b --near nowhere", "needs a distance"),
            ("check a --reference b --near -1", "needs a distance"),
            ("open a --reference b", "belong to check"),
            ("check --yardstick plain", "no yardstick \"plain\""),
            ("check a --zone-rule", "a rule begins with layer="),
            ("check a --zone-rule layer=Inner", "--zone-rule \"layer=Inner\": a rule ends with :visible"),
            ("open a --zone-rule layer=Inner:hidden", "belong to check, not open"),
        ] {
            let message = read(line).expect_err(line).to_string();
            assert!(message.contains(part), "{line}: {message}");
        }
    }
}
