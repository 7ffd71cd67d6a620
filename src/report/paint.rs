//! Weight and colour of text on a terminal; the text says the same without.

/// Marks text for a terminal, or leaves it plain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paint {
    on: bool,
}

impl Paint {
    /// Colour on or off.
    #[must_use]
    pub const fn new(on: bool) -> Self {
        Self { on }
    }

    /// Headings.
    #[must_use]
    pub fn strong(self, text: &str) -> String {
        self.wrap("1", text)
    }

    /// What holds.
    #[must_use]
    pub fn good(self, text: &str) -> String {
        self.wrap("1;32", text)
    }

    /// What fails.
    #[must_use]
    pub fn bad(self, text: &str) -> String {
        self.wrap("1;31", text)
    }

    /// What is doubtful.
    #[must_use]
    pub fn doubtful(self, text: &str) -> String {
        self.wrap("1;33", text)
    }

    /// What matters less.
    #[must_use]
    pub fn faint(self, text: &str) -> String {
        self.wrap("2", text)
    }

    fn wrap(self, code: &str, text: &str) -> String {
        if self.on { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_text_has_no_escapes() {
        assert_eq!(Paint::new(false).bad("no"), "no");
        assert_eq!(Paint::new(true).bad("no"), "\x1b[1;31mno\x1b[0m");
    }
}
