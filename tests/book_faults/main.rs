//! The book under bad luck: killed, out of room, read-only, many at once, damaged.

mod crowd;
mod damage;
mod disk;
mod killed;
mod shop;
