//! The verdict on the open model and its report, with what the reviewer said.

use super::{Session, plain};
use rakelight_core::finding::Zone;
use rakelight_core::review::report::{Form, Picture, PictureOf, Report};
use rakelight_core::review::said::ReviewFile;
use rakelight_core::review::verdict;
use serde::Deserialize;
use wasm_bindgen::prelude::*;

/// A picture as the page gives it.
#[derive(Deserialize)]
struct PageOf {
    of: Of,
    data: String,
    alt: String,
    width: u32,
    height: u32,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum Of {
    Whole,
    Finding(usize),
    Pin(u32),
}

#[wasm_bindgen]
impl Session {
    /// The verdict by the limits last graded by: {formula, passes: [{pass, title, score, without, points, parts: [{severity, zone, count,
    /// each, points}], waived, fixed}], elsewhere, summary: [{of, sentences}], rating: {given, of, open} or null}. `review`: a review file as
    /// the page writes it.
    pub fn verdict(&mut self, review: JsValue) -> Result<JsValue, JsValue> {
        let file: ReviewFile = serde_wasm_bindgen::from_value(review)?;
        self.keep_record()?;
        let check = self.record.as_ref().ok_or("no file is open")?;
        let zone = self.options.zone;
        plain(&verdict(check, &file.review, &|_: &[usize]| -> Zone { zone }))
    }

    /// The report by the limits last graded by, as text. `form`: html, markdown, findings, joins or json; `review`: a review file as the
    /// page writes it; `made`: the date in words; `pictures`: [{of: "whole", {finding: index} or {pin: key}, data: a PNG or JPEG as a data
    /// address, alt, width, height}]. Throws a text where one of them is none of these.
    pub fn report(&mut self, form: &str, review: JsValue, made: &str, pictures: JsValue) -> Result<String, JsValue> {
        let form = Form::from_text(form).ok_or("no such form of a report")?;
        let file: ReviewFile = serde_wasm_bindgen::from_value(review)?;
        let pictures: Vec<PageOf> = serde_wasm_bindgen::from_value(pictures)?;
        let pictures: Vec<Picture> = pictures.into_iter().map(picture).collect::<Result<_, _>>()?;
        self.keep_record()?;
        if self.record.as_ref().is_some_and(|c| c.revision.is_none()) {
            let revision = self.carried()?;
            if let Some(check) = &mut self.record {
                check.revision = revision;
            }
        }
        let (open, check) = (self.opened()?, self.record.as_ref().ok_or("no file is open")?);
        let zone = self.options.zone;
        let report = Report {
            check,
            graph: &open.graph,
            floors: &self.options.joins.floors,
            hash: &open.hash,
            made,
            said: &file.review,
            yardstick: &self.options.yardstick,
            zone: &|_: &[usize]| -> Zone { zone },
            pictures: &pictures,
        };
        report.write(form).map_err(|e| JsValue::from_str(&e.to_string()))
    }
}

impl Session {
    /// Makes the records that verdicts and reports tell of, where nothing was graded since they were made.
    fn keep_record(&mut self) -> Result<(), JsValue> {
        if self.record.is_none() {
            let open = self.opened()?;
            self.record = Some(open.check(&open.findings));
        }
        Ok(())
    }
}

fn picture(p: PageOf) -> Result<Picture, JsValue> {
    let of = match p.of {
        Of::Whole => PictureOf::Whole,
        Of::Finding(index) => PictureOf::Finding(index),
        Of::Pin(key) => PictureOf::Pin(key),
    };
    Picture::new(of, p.data, p.alt, [p.width, p.height]).map_err(|e| JsValue::from_str(&e.to_string()))
}
