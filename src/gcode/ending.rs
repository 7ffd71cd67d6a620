//! How a file ends its lines.

use super::lines;

/// The bytes that end a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ending {
    /// Line feed.
    #[default]
    Lf,
    /// Carriage return and line feed.
    CrLf,
    /// Carriage return alone.
    Cr,
}

impl Ending {
    /// The ending that most lines of `bytes` have; line feed where there is none.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let [mut lf, mut crlf, mut cr] = [0u64; 3];
        for line in lines(bytes).take(10_000) {
            match line.bytes {
                [.., b'\r', b'\n'] => crlf = crlf.saturating_add(1),
                [.., b'\n'] => lf = lf.saturating_add(1),
                [.., b'\r'] => cr = cr.saturating_add(1),
                _ => {}
            }
        }
        if crlf > lf && crlf >= cr {
            Self::CrLf
        } else if cr > lf {
            Self::Cr
        } else {
            Self::Lf
        }
    }

    /// Its bytes.
    #[must_use]
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Lf => b"\n",
            Self::CrLf => b"\r\n",
            Self::Cr => b"\r",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_most_frequent_ending_is_the_files() {
        assert_eq!(Ending::of(b"a\r\nb\r\nc\n"), Ending::CrLf);
        assert_eq!(Ending::of(b"a\rb\rc\n"), Ending::Cr);
        assert_eq!(Ending::of(b"a\nb"), Ending::Lf);
        assert_eq!(Ending::of(b"a\nb\nc\r\n"), Ending::Lf);
        assert_eq!(Ending::of(b"a"), Ending::Lf);
        assert_eq!(Ending::of(b""), Ending::Lf);
    }
}
