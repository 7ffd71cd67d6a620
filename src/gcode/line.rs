//! Lines with their endings, borrowed from the file.

/// One line of the file with its ending, borrowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line<'a> {
    /// Counted from 1.
    pub number: u64,
    /// Offset of the first byte in the file.
    pub start: u64,
    /// All bytes, the ending (LF, CRLF, CR or nothing) included.
    pub bytes: &'a [u8],
}

impl<'a> Line<'a> {
    /// The bytes without the ending.
    #[inline]
    #[must_use]
    pub fn body(&self) -> &'a [u8] {
        let body = self.bytes.strip_suffix(b"\n").unwrap_or(self.bytes);
        body.strip_suffix(b"\r").unwrap_or(body)
    }
}

/// The lines of a file in order; joined they are the file.
#[derive(Debug, Clone)]
pub struct Lines<'a> {
    rest: &'a [u8],
    number: u64,
    start: u64,
}

/// The lines of `bytes`.
#[must_use]
pub fn lines(bytes: &[u8]) -> Lines<'_> {
    Lines { rest: bytes, number: 0, start: 0 }
}

impl<'a> Iterator for Lines<'a> {
    type Item = Line<'a>;

    #[inline]
    fn next(&mut self) -> Option<Line<'a>> {
        if self.rest.is_empty() {
            return None;
        }
        let end = memchr::memchr2(b'\n', b'\r', self.rest).map_or(self.rest.len(), |i| {
            let both = self.rest.get(i..).is_some_and(|rest| rest.starts_with(b"\r\n"));
            i.saturating_add(if both { 2 } else { 1 })
        });
        let (bytes, rest) = self.rest.split_at_checked(end)?;
        self.number = self.number.saturating_add(1);
        let line = Line { number: self.number, start: self.start, bytes };
        self.start = self.start.saturating_add(bytes.len() as u64);
        self.rest = rest;
        Some(line)
    }
}
