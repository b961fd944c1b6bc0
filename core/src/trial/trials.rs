//! The list of trials, with its history.

use super::Edit;

/// A named edit, on or off.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// What the user calls it.
    pub name: String,
    /// Off: as if it were not there.
    pub on: bool,
    /// What it does.
    pub edit: Edit,
}

/// Trials in the order in which they are made upon each other, and what the list was before.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trials {
    list: Vec<Trial>,
    past: Vec<Vec<Trial>>,
    future: Vec<Vec<Trial>>,
}

/// Steps that can be taken back. Larger: memory; smaller: a long afternoon cannot be undone.
const STEPS: usize = 200;

impl Trials {
    /// A list without a history.
    pub(super) fn of(list: Vec<Trial>) -> Self {
        Self { list, ..Self::default() }
    }

    /// The trials, first made first.
    pub fn list(&self) -> &[Trial] {
        &self.list
    }

    /// Puts a trial upon all others, on.
    pub fn add(&mut self, name: impl Into<String>, edit: Edit) {
        let trial = Trial { name: name.into(), on: true, edit };
        self.step(|list| list.push(trial));
    }

    /// Puts another edit in the place of a trial's; nothing where there is none.
    pub fn replace(&mut self, index: usize, edit: Edit) {
        self.step(|list| list.get_mut(index).into_iter().for_each(|t| t.edit = edit.clone()));
    }

    /// Renames a trial.
    pub fn rename(&mut self, index: usize, name: impl Into<String>) {
        let name = name.into();
        self.step(|list| list.get_mut(index).into_iter().for_each(|t| t.name.clone_from(&name)));
    }

    /// Turns a trial on or off.
    pub fn switch(&mut self, index: usize, on: bool) {
        self.step(|list| list.get_mut(index).into_iter().for_each(|t| t.on = on));
    }

    /// Takes a trial out.
    pub fn remove(&mut self, index: usize) {
        self.step(|list| {
            if index < list.len() {
                list.remove(index);
            }
        });
    }

    /// Moves a trial to another place in the order.
    pub fn reorder(&mut self, from: usize, to: usize) {
        self.step(|list| {
            if from < list.len() {
                let trial = list.remove(from);
                list.insert(to.min(list.len()), trial);
            }
        });
    }

    /// Takes the last change of the list back; false when there is none.
    pub fn undo(&mut self) -> bool {
        let Some(before) = self.past.pop() else { return false };
        self.future.push(core::mem::replace(&mut self.list, before));
        true
    }

    /// Makes the change taken back last again; false when there is none.
    pub fn redo(&mut self) -> bool {
        let Some(after) = self.future.pop() else { return false };
        self.past.push(core::mem::replace(&mut self.list, after));
        true
    }

    /// A change that changes nothing is no step.
    fn step(&mut self, change: impl FnOnce(&mut Vec<Trial>)) {
        let before = self.list.clone();
        change(&mut self.list);
        if self.list != before {
            self.past.push(before);
            self.future.clear();
            if self.past.len() > STEPS {
                self.past.remove(0);
            }
        }
    }
}
