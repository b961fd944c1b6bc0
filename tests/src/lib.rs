//! Shared pieces of the test suites: the data at hand, the packed site, a browser, pictures.

pub mod browser;
pub mod damaged;
pub mod data;
pub mod inspector;
pub mod picture;
pub mod schema;
pub mod site;
