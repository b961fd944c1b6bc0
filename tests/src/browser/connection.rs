//! Messages to and from Chromium: JSON texts, each ended by a zero byte.
//!
//! Source: Chrome DevTools Protocol, transport "pipe", and its flattened sessions.

use std::collections::HashMap;
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdin};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, mpsc};
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

/// How long an answer is waited for. Software rendering of a large model may hold a frame, and
/// with it a screenshot, for many seconds on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);

/// A running browser.
#[derive(Debug)]
pub struct Connection {
    shared: Arc<Shared>,
    log: PathBuf,
    // Kept for its process to be known as ours; it ends when the pipes close.
    _child: Child,
}

#[derive(Debug)]
struct Shared {
    pipe: Mutex<ChildStdin>,
    next: AtomicU64,
    replies: Mutex<HashMap<u64, mpsc::Sender<Value>>>,
    /// Events by the session of their page; those of a page's workers are filed under the page.
    events: Mutex<HashMap<String, Vec<Event>>>,
    /// Page session of each worker session.
    owners: Mutex<HashMap<String, String>>,
}

/// What the browser reports unasked.
#[derive(Debug, Clone)]
pub struct Event {
    /// The event's name, as "Network.requestWillBeSent".
    pub method: String,
    /// Its fields.
    pub params: Value,
}

impl Connection {
    pub(super) fn new(mut child: Child, log: PathBuf) -> Self {
        let pipe = child.stdin.take().expect("a pipe to Chromium");
        let answers = child.stdout.take().expect("a pipe from Chromium");
        let shared = Arc::new(Shared {
            pipe: Mutex::new(pipe),
            next: AtomicU64::new(1),
            replies: Mutex::default(),
            events: Mutex::default(),
            owners: Mutex::default(),
        });
        let reading = Arc::clone(&shared);
        thread::spawn(move || {
            let mut answers = BufReader::new(answers);
            let mut text = Vec::new();
            while matches!(answers.read_until(0, &mut text), Ok(length) if length > 0) {
                text.pop();
                if let Ok(message) = serde_json::from_slice(&text) {
                    reading.take(message);
                }
                text.clear();
            }
            // Wakes those who still wait for an answer.
            lock(&reading.replies).clear();
        });
        Self { shared, log, _child: child }
    }

    /// Calls a method of the browser, or of a page by its session, and waits for the result.
    ///
    /// # Panics
    /// The method fails, or Chromium has ended.
    pub fn call(&self, session: Option<&str>, method: &str, params: Value) -> Value {
        let (sender, receiver) = mpsc::channel();
        self.shared.send(session, method, params, Some(sender));
        let Ok(mut message) = receiver.recv_timeout(PATIENCE) else {
            let log = std::fs::read_to_string(&self.log).unwrap_or_default();
            panic!("Chromium gave no answer to {method}; its log:\n{log}");
        };
        assert!(message["error"].is_null(), "{method}: {}", message["error"]);
        message["result"].take()
    }

    /// Calls a method of a page that cannot answer.
    pub fn post(&self, session: &str, method: &str, params: Value) {
        self.shared.send(Some(session), method, params, None);
    }

    /// Forgets the events of a page and keeps those to come.
    pub fn listen(&self, session: &str) {
        lock(&self.shared.events).insert(session.into(), Vec::new());
    }

    /// Forgets the events of a page, and no longer keeps any.
    pub fn leave(&self, session: &str) {
        lock(&self.shared.events).remove(session);
    }

    /// The events of a page and its workers since [`Connection::listen`].
    pub fn events(&self, session: &str) -> Vec<Event> {
        lock(&self.shared.events).get(session).cloned().unwrap_or_default()
    }
}

impl Shared {
    fn send(&self, session: Option<&str>, method: &str, params: Value, reply: Option<mpsc::Sender<Value>>) {
        let id = self.next.fetch_add(1, Ordering::SeqCst);
        let mut message = json!({"id": id, "method": method, "params": params});
        if let Some(session) = session {
            message["sessionId"] = session.into();
        }
        if let Some(reply) = reply {
            lock(&self.replies).insert(id, reply);
        }
        let mut text = message.to_string().into_bytes();
        text.push(0);
        if lock(&self.pipe).write_all(&text).is_err() {
            // Chromium has ended: nobody will answer.
            lock(&self.replies).remove(&id);
        }
    }

    fn take(&self, mut message: Value) {
        if let Some(id) = message["id"].as_u64() {
            if let Some(reply) = lock(&self.replies).remove(&id) {
                // The caller may have lost patience.
                let _ = reply.send(message);
            }
            return;
        }
        let Some(session) = message["sessionId"].as_str().map(str::to_owned) else {
            return;
        };
        let Some(method) = message["method"].as_str().map(str::to_owned) else {
            return;
        };
        let params = message["params"].take();
        let owner = lock(&self.owners).get(&session).cloned().unwrap_or_else(|| session.clone());
        if method == "Target.attachedToTarget" {
            self.adopt(&owner, &params);
        }
        if let Some(events) = lock(&self.events).get_mut(&owner) {
            events.push(Event { method, params });
        }
    }

    /// A worker has started, and waits: its requests and errors are to be seen as well.
    fn adopt(&self, owner: &str, params: &Value) {
        let Some(session) = params["sessionId"].as_str() else {
            return;
        };
        lock(&self.owners).insert(session.into(), owner.into());
        for method in ["Network.enable", "Runtime.enable", "Log.enable", "Runtime.runIfWaitingForDebugger"] {
            self.send(Some(session), method, json!({}), None);
        }
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
