//! What measures have worked out and no limit changes, kept so that judging anew under other limits takes no time.

use crate::math::retain;
use core::any::Any;
use core::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A name and a number.
type Key = (&'static str, usize);

/// Results by a name and a number, such as a face's. Belongs to one set of faces and joins.
#[derive(Default)]
pub struct Memo {
    kept: RefCell<BTreeMap<Key, Rc<dyn Any>>>,
}

impl core::fmt::Debug for Memo {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "Memo of {}", self.kept.borrow().len())
    }
}

impl Memo {
    /// The result of `name` and `number`, made at its first use. One name has one type.
    pub fn keep<T: 'static>(&self, name: &'static str, number: usize, make: impl FnOnce() -> T) -> Rc<T> {
        let known = self.kept.borrow().get(&(name, number)).cloned();
        if let Some(known) = known.and_then(|k| k.downcast().ok()) {
            return known;
        }
        // Not borrowed while it is made: making it may ask for other results.
        let made = Rc::new(make());
        self.kept.borrow_mut().insert((name, number), made.clone());
        made
    }

    /// Lets go of all results of a name.
    pub fn forget(&self, name: &str) {
        retain(&mut self.kept.borrow_mut(), |key, _| key.0 != name);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::cell::Cell;

    #[test]
    fn each_result_is_made_once_until_it_is_forgotten() {
        let (memo, made) = (Memo::default(), Cell::new(0));
        let ask = |name, number| {
            *memo.keep(name, number, || {
                made.set(made.get() + 1);
                // Asking while making is allowed.
                number + *memo.keep("inner", 0, || 100)
            })
        };
        assert_eq!([ask("a", 1), ask("a", 1), ask("b", 1), ask("a", 2)], [101, 101, 101, 102]);
        assert_eq!(made.get(), 3);
        memo.forget("a");
        assert_eq!([ask("a", 1), ask("b", 1)], [101, 101]);
        assert_eq!(made.get(), 4);
    }
}
