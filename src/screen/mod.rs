//! (room being furnished)
