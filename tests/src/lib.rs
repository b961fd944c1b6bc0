//! Shared pieces of the test suites.
