//! Shared pieces of the test suites: the data at hand, the packed site, a browser, pictures.

pub mod browser;
pub mod damage;
pub mod damaged;
pub mod data;
pub mod demo;
pub mod dice;
pub mod hostile;
pub mod hostile_words;
pub mod inspector;
pub mod memory;
pub mod mended;
pub mod mesh_files;
pub mod open_host;
pub mod picture;
pub mod schema;
pub mod site;
