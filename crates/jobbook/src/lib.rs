//! jobbook
