//! The native side of Rakelight: builds the WebAssembly module, writes the static
//! folder, serves it on this machine, and runs the same review natively.
//!
//! | module | what |
//! |---|---|
//! | [`cli`] | what the arguments ask for |
//! | [`command`] | carry that out, to streams and an exit code |
//! | [`workspace`] | where the sources and the build folders are |
//! | [`module`] | compile to WebAssembly and generate its script |
//! | [`shrink`] | drop what a browser does not need from the module |
//! | [`order`] | put the module's functions into an order that compresses well |
//! | [`script`] | read a script, and write it short |
//! | [`flatten`] | modules as one script |
//! | [`scripts`] | the scripts of the site |
//! | [`style`] | the sheets of a page as one |
//! | [`site`] | write the static folder |
//! | [`single`] | put the page, a model and a review into one file |
//! | [`offline`] | list the site's files for the service worker |
//! | [`server`] | give the folder out on 127.0.0.1 |
//! | [`request`] | read one HTTP request, and refuse what is not plain |
//! | [`media`] | the media type of a file name |
//! | [`desktop`] | open the browser |
//! | [`review`] | `check` at the command line |
//! | [`said`] | what a saved review says, read from its file |
//! | [`digits`] | hashes and random names in hexadecimal digits |
//! | [`date`] | today, in words |
//!
//! Absent on purpose: geometry, page building, and any server beyond reading files.

pub mod cli;
pub mod command;
pub mod date;
pub mod desktop;
pub mod digits;
pub mod error;
pub mod flatten;
pub mod media;
pub mod module;
pub mod offline;
pub mod order;
pub mod request;
pub mod review;
pub mod said;
pub mod script;
pub mod scripts;
pub mod server;
pub mod shrink;
pub mod single;
pub mod site;
pub mod style;
pub mod workspace;

pub use error::PackError;
