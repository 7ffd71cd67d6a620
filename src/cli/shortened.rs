//! A file that another program makes shorter while it is read.
//!
//! Large files are mapped into memory. What is cut off such a file cannot be read any more, and the machine then
//! sends a bus error instead of an answer: without these lines the program would end with nothing but that.

/// Says what has happened and ends the program with the exit code of an input that cannot be read.
#[cfg(unix)]
pub fn tell_when_shortened() {
    use signal_hook::{consts::SIGBUS, low_level};
    use std::fs::File;
    use std::io::Write;
    use std::mem::ManuallyDrop;
    use std::os::fd::FromRawFd;

    const MESSAGE: &[u8] = b"\nbeadwise: the file was made shorter by another program while it was read; \
        run the command again once that program is done\n";
    // SAFETY: standard error stays open as long as the program runs, and is never closed from here. While a signal is
    // handled nothing may take a lock or memory: there is one write and the end, and both are free of that.
    #[allow(unsafe_code)]
    unsafe {
        let standard_error = ManuallyDrop::new(File::from_raw_fd(2));
        // Where the signal cannot be caught, the program ends as it would without.
        let _ = low_level::register(SIGBUS, move || {
            let _ = (&*standard_error).write_all(MESSAGE);
            low_level::exit(2);
        });
    }
}

/// Elsewhere a mapped file cannot be shortened.
#[cfg(not(unix))]
pub const fn tell_when_shortened() {}
