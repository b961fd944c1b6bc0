//! The chapters of a report, in their order.

mod findings;
mod import;
mod overall;
mod remarks;
mod tables;

use super::block::Block;
use super::told::Told;

/// All chapters after the title.
pub fn content<'a>(told: &Told<'a>) -> Vec<Block<'a>> {
    let mut all = overall::heading(told);
    all.extend(overall::verdict(told));
    all.extend(findings::findings(told));
    all.extend(remarks::pins(told));
    all.extend(remarks::good(told));
    all.extend(remarks::aside(told));
    all.extend(remarks::checklist(told));
    all.extend(tables::revision(told));
    all.extend(tables::reference(told));
    all.extend(tables::joins(told));
    all.extend(tables::yardstick(told));
    all.extend(import::import(told));
    all.extend(import::caution());
    all
}

/// A chapter, where there is something in it.
fn chapter<'a>(title: impl Into<std::borrow::Cow<'static, str>>, blocks: Vec<Block<'a>>) -> Vec<Block<'a>> {
    if blocks.is_empty() { blocks } else { std::iter::once(Block::Chapter(title.into())).chain(blocks).collect() }
}
