//! What the device was given last, and how long such work takes: nothing more is given before it has ended.

use super::Gl;
use web_sys::WebGlSync;

/// What the device was given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Some of the surfaces of a picture.
    Surfaces,
    /// Exact tiles.
    Tiles,
    /// Exact tiles, and a picture that catches up with them.
    TilesAndPicture,
    /// A picture while something moves.
    Moving,
    /// A picture at rest.
    Resting,
}

/// Work that has ended.
#[derive(Clone, Copy, Debug)]
pub struct Ended {
    /// What it was.
    pub work: Work,
    /// How long it took, ms, rounded up to the next look.
    pub took: f64,
    /// The canvas has not been given its picture yet.
    pub unseen: bool,
}

/// Whose turn it is: the device's while it works, else the page's.
#[derive(Default)]
pub struct Turn {
    given: Option<Given>,
}

struct Given {
    sync: WebGlSync,
    work: Work,
    begun: f64,
    unseen: bool,
}

impl Turn {
    /// True while the device works.
    pub fn is_taken(&self) -> bool {
        self.given.is_some()
    }

    /// True while the device works on a picture that the canvas will have to be given.
    pub fn is_unseen(&self) -> bool {
        self.given.as_ref().is_some_and(|given| given.unseen)
    }

    /// Marks the end of what the device was given since `begun`, ms; `unseen` when the canvas still waits for its picture.
    pub fn give(&mut self, gl: &Gl, work: Work, begun: f64, unseen: bool) {
        self.forget(gl);
        self.given = gl.fence_sync(Gl::SYNC_GPU_COMMANDS_COMPLETE, 0).map(|sync| Given { sync, work, begun, unseen });
        gl.flush();
    }

    /// The device's work, once it has ended; a device that took the context away has nothing left to do.
    pub fn end(&mut self, gl: &Gl, now: f64) -> Option<Ended> {
        let given = self.given.as_ref()?;
        let state = gl.get_sync_parameter(&given.sync, Gl::SYNC_STATUS).as_f64().unwrap_or(0.0) as u32;
        if state != Gl::SIGNALED && !gl.is_context_lost() {
            return None;
        }
        let ended = Ended { work: given.work, took: now - given.begun, unseen: given.unseen };
        self.forget(gl);
        Some(ended)
    }

    fn forget(&mut self, gl: &Gl) {
        if let Some(given) = self.given.take() {
            gl.delete_sync(Some(&given.sync));
        }
    }
}
