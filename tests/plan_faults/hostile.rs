//! hostile
