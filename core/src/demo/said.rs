//! What a reviewer said of the demo, put to its findings.

use super::bramble::{Revision, step};
use crate::progress::Silent;
use crate::review::said::{Rank, ReviewFile, State, entries, finding_key};
use crate::review::{Options, run};

#[test]
fn what_is_said_goes_to_its_finding_and_pins_come_first() {
    let check = run(step(Revision::A).as_bytes(), "bramble.step", &Options::default(), &mut Silent, &mut || 0.0).expect("our own file");
    let key = |severity: &str| finding_key(check.findings.iter().find(|f| f.severity == severity).expect("the demo has all"));
    let text = serde_json::json!({
        "rakelight_review": 1,
        "review": {
            "lamps": { "count": 4 },
            "marks": {
                key("serious"): { "state": "waived" },
                key("fix"): { "state": "agreed", "severity": "serious", "reason": "in the light" },
            },
            "pins": [{ "key": 3, "title": "", "text": "dent", "severity": "serious", "state": "open", "place": [1, 2, 3], "face": 0 }],
        }
    });
    let file: ReviewFile = serde_json::from_str(&text.to_string()).expect("sound");
    let all = entries(&check, &file.review);
    assert_eq!(all.len(), check.findings.len() + 1);
    assert_eq!((all[0].title.as_str(), all[0].stands(), all[0].pass), ("Pin 3", true, None));
    let said: Vec<_> = all.iter().filter_map(|e| e.mark.map(|m| (e.rank, m.state, e.stands()))).collect();
    assert_eq!(said.len(), 2);
    assert!(said.contains(&(Rank::Serious, State::Waived, false)) && said.contains(&(Rank::Serious, State::Agreed, true)));
    assert!(all.is_sorted_by_key(|e| e.rank));
}
