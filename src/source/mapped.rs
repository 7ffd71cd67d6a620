//! A file mapped into memory, so that it may be larger than memory.

use memmap2::Mmap;
use std::fs::File;
use std::io;

/// Maps a regular file for reading.
///
/// Where another program shortens the file meanwhile, reading what was cut off ends in a bus error (the program tells
/// its user so); a program that writes over it changes what is read. Slicers and this program replace files by
/// renaming, which leaves the mapped file as it was.
pub(super) fn map(file: &File) -> io::Result<Mmap> {
    // SAFETY: the mapping is private to this process, read-only, and dropped with the `Source` that owns it.
    // What is left is the file being shortened in place by another program, as said above.
    #[allow(unsafe_code)]
    unsafe {
        Mmap::map(file)
    }
}
