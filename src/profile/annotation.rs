//! What comments say, by plain words of the trade.
//!
//! ```text
//! "; FEATURE:outside_contour"  ->  feature = outside contour  ->  outer-wall
//! "(course 3 begins, top at 0.6 mm)"  ->  layer 3
//! "; outer wall speed = 30"    ->  a setting: no remark
//! ```
//!
//! Comes in: the bytes of one comment, with or without its marker. Goes out: a [`Remark`], if it is one.
//! The words stand in `profiles/annotations/*.toml`; what they mean is a list of rules, the first that fits
//! holds. Comments are hearsay, so whatever reads like a setting, a name or a story is no remark.

use crate::profile::Role;
use regex::{Regex, RegexSet};
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap};
use std::sync::{Arc, Mutex, PoisonError};

const TRADE_WORDS: &str = include_str!("../../profiles/annotations/trade-words.toml");

/// Longer comments are not read: they are pictures or settings, not remarks.
const MOST_BYTES: usize = 200;
/// Comments kept in the memo; files repeat a few dozen wordings many thousand times.
const MEMO_SIZE: usize = 4096;

/// What a comment says about the lines that follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remark {
    /// Beads of this role follow; [`Role::Unknown`] where the last one ends or the words do not say which.
    Role(Role),
    /// A layer begins, with the number the comment gives.
    Layer(Option<i64>),
}

/// Why an annotation profile cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum AnnotationError {
    /// Not TOML, or not the keys of an annotation profile.
    #[error("annotation words cannot be read: {0}")]
    Toml(#[from] toml::de::Error),
    /// A pattern is no regular expression.
    #[error("pattern in annotation words cannot be read: {0}")]
    Pattern(#[from] regex::Error),
    /// A rule names a group that is not there.
    #[error("rule for `{role}` names the group `{group}`, which is not under [groups]")]
    Group {
        /// Role of the rule.
        role: &'static str,
        /// The name that is missing.
        group: String,
    },
    /// More groups than the matcher can hold.
    #[error("annotation words have {0} groups; at most 64 can be used")]
    TooMany(usize),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    #[serde(rename = "name")]
    _name: String,
    #[serde(rename = "source")]
    _source: String,
    #[serde(default = "ten")]
    most_words: usize,
    #[serde(default)]
    most_strange_words: usize,
    #[serde(default)]
    layer: Vec<String>,
    groups: BTreeMap<String, Vec<String>>,
    #[serde(default)]
    role: Vec<RoleWords>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RoleWords {
    role: Role,
    all: Vec<String>,
}

const fn ten() -> usize {
    10
}

/// Groups of words as bits.
type Bits = u64;

/// One rule: all these groups are named, so the role is this.
#[derive(Debug, Clone)]
struct Rule {
    role: Role,
    all: Bits,
}

/// Groups with a part in the reading itself.
#[derive(Debug, Clone, Default)]
struct Special {
    announce: Bits,
    begin: Bits,
    finish: Bits,
    dismiss: Bits,
    qualifier: Bits,
}

/// The words that comments are read by. Clones share the words; what was read so far is not taken along.
#[derive(Debug)]
pub struct Annotations {
    vocabulary: Arc<Vocabulary>,
    memo: Mutex<HashMap<Box<[u8]>, Option<Remark>>>,
}

#[derive(Debug)]
struct Vocabulary {
    groups: RegexSet,
    layer: Vec<Regex>,
    rules: Vec<Rule>,
    special: Special,
    most_words: usize,
    most_strange_words: usize,
}

impl Clone for Annotations {
    fn clone(&self) -> Self {
        Self::of(Arc::clone(&self.vocabulary))
    }
}

impl Annotations {
    /// The trade words that are built in.
    #[must_use]
    pub fn built_in() -> Self {
        // A test reads the built-in words, so the fallback is never met.
        Self::parse(TRADE_WORDS).unwrap_or_else(|_| Self::none())
    }

    /// No words at all: every comment is ignored.
    #[must_use]
    pub fn none() -> Self {
        Self::of(Arc::new(Vocabulary {
            groups: RegexSet::empty(),
            layer: Vec::new(),
            rules: Vec::new(),
            special: Special::default(),
            most_words: 0,
            most_strange_words: 0,
        }))
    }

    fn of(vocabulary: Arc<Vocabulary>) -> Self {
        Self { vocabulary, memo: Mutex::default() }
    }

    /// The words of an annotation profile.
    ///
    /// # Errors
    /// Where the text is no TOML, has unknown keys, a bad pattern, or a rule with an unknown group.
    pub fn parse(text: &str) -> Result<Self, AnnotationError> {
        let words: Words = toml::from_str(text)?;
        if words.groups.len() > 64 {
            return Err(AnnotationError::TooMany(words.groups.len()));
        }
        let names: Vec<&str> = words.groups.keys().map(String::as_str).collect();
        let bit = |name: &str| names.iter().position(|n| *n == name).map_or(0, |i| 1 << i);
        let groups = RegexSet::new(words.groups.values().map(|w| format!("^(?:{})$", w.join("|"))))?;
        let layer = words.layer.iter().map(|p| Regex::new(p)).collect::<Result<_, _>>()?;
        let rules = words.role.iter().map(|rule| read_rule(rule, bit)).collect::<Result<_, _>>()?;
        let special = Special {
            announce: bit("announce"),
            begin: bit("begin"),
            finish: bit("finish"),
            dismiss: bit("dismiss"),
            qualifier: ["outside", "inside", "solid", "sparse", "closing", "begin", "filler"]
                .iter()
                .fold(0, |all, name| all | bit(name)),
        };
        let (most_words, most_strange_words) = (words.most_words, words.most_strange_words);
        Ok(Self::of(Arc::new(Vocabulary { groups, layer, rules, special, most_words, most_strange_words })))
    }

    /// What a comment says, if it says anything; `comment` may still carry its marker.
    #[must_use]
    pub fn remark(&self, comment: &[u8]) -> Option<Remark> {
        // What this program wrote about its stops says nothing about the print.
        let own = comment.trim_ascii_start().starts_with(b"beadwise");
        if self.vocabulary.groups.is_empty() || comment.len() > MOST_BYTES || own {
            return None;
        }
        let mut memo = self.memo.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = memo.get(comment) {
            return *known;
        }
        let remark = self.read(comment);
        if memo.len() < MEMO_SIZE {
            memo.insert(comment.into(), remark);
        }
        remark
    }

    fn read(&self, comment: &[u8]) -> Option<Remark> {
        let plain = plain_words(comment);
        let words: Vec<&str> = plain.split(' ').filter(|w| !w.is_empty()).collect();
        if words.is_empty() || words.len() > self.vocabulary.most_words {
            return None;
        }
        let Some((index, rest)) = self.layer_mark(&plain) else { return self.role(&words).map(Remark::Role) };
        let rest: Vec<&str> = rest.split(' ').filter(|w| !w.is_empty()).collect();
        if let Some(role) = self.role(&rest) {
            return Some(Remark::Role(role));
        }
        let ends = rest.iter().any(|w| self.groups_of(w) & self.vocabulary.special.finish != 0);
        (!ends).then_some(Remark::Layer(index))
    }

    /// The number a layer's mark gives, and the words after it.
    fn layer_mark<'t>(&self, plain: &'t str) -> Option<(Option<i64>, &'t str)> {
        self.vocabulary.layer.iter().find_map(|pattern| {
            let found = pattern.captures(plain)?;
            let index = found.name("index").and_then(|i| i.as_str().parse().ok());
            let end = found.get(0).map_or(plain.len(), |all| all.end());
            Some((index, plain.get(end..).unwrap_or_default()))
        })
    }

    fn groups_of(&self, word: &str) -> Bits {
        self.vocabulary.groups.matches(word).iter().fold(0, |all, i| all | (1 << i))
    }

    /// The role that words name, if they are a remark at all.
    fn role(&self, words: &[&str]) -> Option<Role> {
        let groups: Vec<Bits> = words.iter().map(|w| self.groups_of(w)).collect();
        let named = groups.iter().fold(0, |all, g| all | g);
        let rule = self.vocabulary.rules.iter().find(|rule| named & rule.all == rule.all)?;
        let announced = self.announced(words, &groups)?;
        if !announced && named & self.vocabulary.special.dismiss != 0 {
            return None;
        }
        let strange = words.iter().zip(&groups).filter(|(w, g)| **g == 0 && **w != "=" && !is_number(w)).count();
        let sure = announced || rule.all.count_ones() > 1;
        if strange > if sure { self.vocabulary.most_strange_words } else { 0 } {
            return None;
        }
        let over = named & self.vocabulary.special.finish != 0 && named & self.vocabulary.special.begin == 0;
        Some(if over { Role::Unknown } else { rule.role })
    }

    /// Whether the words before an equals sign announce a role; `None` where the sign makes it a setting.
    fn announced(&self, words: &[&str], groups: &[Bits]) -> Option<bool> {
        let Some(sign) = words.iter().position(|w| *w == "=") else { return Some(false) };
        let (before, after) = (groups.get(..sign)?, groups.get(sign + 1..)?);
        let numbers_after = words.iter().skip(sign + 1).filter(|w| is_number(w)).count();
        if before.iter().zip(words).all(|(g, w)| g & self.vocabulary.special.announce != 0 || is_number(w)) {
            return (after.len() > numbers_after).then_some(true);
        }
        let told = !after.is_empty() && after.iter().all(|g| g & self.vocabulary.special.qualifier != 0);
        told.then_some(false)
    }
}

fn read_rule(rule: &RoleWords, bit: impl Fn(&str) -> Bits) -> Result<Rule, AnnotationError> {
    let mut all = 0;
    for group in &rule.all {
        match bit(group) {
            0 => return Err(AnnotationError::Group { role: rule.role.word(), group: group.clone() }),
            found => all |= found,
        }
    }
    Ok(Rule { role: rule.role, all })
}

fn is_number(word: &str) -> bool {
    word.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b'-')
}

/// The comment in lower case, single words parted by single spaces; `=` and `:` become the word `=`.
fn plain_words(comment: &[u8]) -> String {
    let text = String::from_utf8_lossy(comment);
    let mut plain = String::with_capacity(text.len() + 8);
    let mut before = ' ';
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let digit_next = letters.peek().is_some_and(char::is_ascii_digit);
        match letter {
            // `outerWall` is two words, and so is `layer3`.
            c if c.is_alphanumeric() => {
                let joint = before.is_lowercase() && (c.is_uppercase() || c.is_numeric());
                if joint {
                    plain.push(' ');
                }
                plain.extend(c.to_lowercase());
            }
            '.' if before.is_ascii_digit() && digit_next => plain.push('.'),
            '-' if digit_next && matches!(before, ' ' | ':' | '=') => plain.push_str(" -"),
            ':' | '=' => plain.push_str(" = "),
            '%' => plain.push_str(" percent "),
            _ => plain.push(' '),
        }
        before = letter;
    }
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn remark(text: &str) -> Option<Remark> {
        Annotations::parse(TRADE_WORDS).unwrap().remark(text.as_bytes())
    }

    #[track_caller]
    fn all_are(role: Role, texts: &[&str]) {
        for text in texts {
            assert_eq!(remark(text), Some(Remark::Role(role)), "{text}");
        }
    }

    #[test]
    fn walls_are_told_apart() {
        all_are(
            Role::OuterWall,
            &[
                "; outer wall",
                "feature: outside contour",
                "(external perimeter)",
                "TYPE:EXTERIOR SHELL",
                "outerWall",
                "outer_perimeter",
                "; wall: outer",
                "now the outermost wall",
                "outer wall, loop 2 of 3",
                "outer skin",
                "outer wall of the top layer",
                "Outer boundary",
                "printing outer walls",
                "layer 3: outer wall",
            ],
        );
        all_are(
            Role::InnerWall,
            &["inner_perimeter", "; inner wall", "inside contour", "internal shell", "INTERIOR-WALLS", "inner loops"],
        );
        all_are(Role::Unknown, &["perimeter", "; walls", "end of outer wall", "outer wall done"]);
    }

    #[test]
    fn fills_and_skins_are_told_apart() {
        all_are(
            Role::SparseInfill,
            &[
                "TYPE=sparse fill",
                "; core fill",
                "internal infill",
                "infill",
                "(fill)",
                "honeycomb infill",
                "core",
                "feature type: inner filling",
                "lattice",
            ],
        );
        all_are(
            Role::SolidInfill,
            &[
                "solid fill bottom",
                "; roof face",
                "; floor face",
                "top surface",
                "BOTTOM_SKIN",
                "top layer",
                "skin",
                "internal solid infill",
                "top solid infill",
                "roof skin",
                "solid layer",
                "floor",
                "upper face fill",
            ],
        );
        all_are(Role::GapFill, &["gap fill", "single bead", "thin wall", "filling gaps"]);
        all_are(Role::Bridge, &["bridge", "; bridging fill", "internal bridge"]);
    }

    #[test]
    fn what_is_not_the_part_is_told() {
        all_are(Role::Support, &["support", "support interface", "; SUPPORT-MATERIAL", "supports", "support infill"]);
        all_are(Role::Adhesion, &["skirt", "; skirt", "brim", "raft", "raft base"]);
        all_are(Role::Purge, &["purge line", "prime tower", "wipe block", "purging", "prime the nozzle"]);
    }

    #[test]
    fn layers_give_their_number() {
        for (text, index) in [
            ("; course 3 begins, top at 0.600 mm", Some(3)),
            ("layer 12", Some(12)),
            ("LAYER:0", Some(0)),
            ("layer:-2", Some(-2)),
            ("layer no. 7", Some(7)),
            ("layer #8", Some(8)),
            ("begin layer 5 of 90", Some(5)),
            ("Layer 12/90", Some(12)),
            ("layer_41", Some(41)),
            ("layer change", None),
            ("next layer", None),
            ("layer at 0.6 mm", None),
            ("layer z = 12.40", None),
        ] {
            assert_eq!(remark(text), Some(Remark::Layer(index)), "{text}");
        }
    }

    #[test]
    fn settings_and_stories_are_no_remarks() {
        for text in [
            "job for the bicycle workshop",
            "; job 01 for the bicycle workshop",
            "; end of job",
            "top at 0.600",
            "outer wall speed = 30",
            "outer wall width: 0.45 mm",
            "infill density 15 %",
            "perimeters = 3",
            "layer height = 0.2",
            "layer count: 90",
            "total layers 90",
            "end of layer 3",
            "layer 4 finished",
            "support: none",
            "support = 0",
            "walls: 3",
            "repair stand support bracket",
            "bottom bracket shell",
            "this file lays the outer wall first and then all of the fill",
            "travel",
            "retract",
            "wipe",
            "heat the bed",
            "home all axes",
            "",
            ";",
            "top layers: 4",
            "for the core team of the workshop",
            "1.5",
            "= =",
            "prime",
        ] {
            assert_eq!(remark(text), None, "{text}");
        }
    }

    #[test]
    fn any_bytes_are_borne() {
        let words = Annotations::built_in();
        assert_eq!(words.remark(b"\xff\xfe outer \xc3 wall"), Some(Remark::Role(Role::OuterWall)));
        assert_eq!(words.remark(&[0; 199]), None);
        assert_eq!(words.remark(&[b'a'; 5000]), None);
        assert_eq!(Annotations::none().remark(b"outer wall"), None);
    }

    #[test]
    fn a_repeated_comment_is_remembered_rightly() {
        let words = Annotations::built_in();
        for _ in 0..3 {
            assert_eq!(words.remark(b"core fill"), Some(Remark::Role(Role::SparseInfill)));
            assert_eq!(words.remark(b"hello"), None);
        }
    }

    #[test]
    fn a_rule_with_an_unknown_group_is_refused() {
        let text = "name='x'\nsource='y'\n[groups]\nedge=['wall']\n[[role]]\nrole='bridge'\nall=['egde']\n";
        assert!(matches!(Annotations::parse(text), Err(AnnotationError::Group { group, .. }) if group == "egde"));
    }
}
