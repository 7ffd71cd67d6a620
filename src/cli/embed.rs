//! `beadwise embed`.

use super::arguments::{EmbedArguments, EmbedFormat};
use super::audit::read_source;
use super::outcome::{Outcome, Trouble};
use super::setup;
use super::shop::ShopDefaults;
use super::terminal::Terminal;
use beadwise::diag::{Diagnostic, Severity};
use beadwise::embed::{EmbedError, Look, Place, Seating, StopRequest, Stopped, Undone, Wish, Workpiece, preview, undo};
use beadwise::profile::{Insert, MagnetGrades};
use beadwise::report::{EmbedAnswer, STOP_CAUTIONS, embed_json, pockets_text, stops_text};
use beadwise::source::{Source, Target, write_file};
use beadwise::units::Length;
use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// Lists pockets, or writes stops, or takes them out.
pub fn run(asked: &EmbedArguments, shop: &ShopDefaults, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let wish = wish(asked, shop)?;
    if asked.format == EmbedFormat::Json && asked.to_output() {
        let advice = "--format json and the new file cannot both go to standard output; name a file with -o";
        return Err(Trouble::Arguments(advice.to_owned()));
    }
    let source = read_source(&asked.file, &asked.print)?;
    let job = Job { asked, shop, source: &source, terminal };
    if asked.undo { job.take_out() } else { job.put_in(&wish) }
}

/// What is the same whatever was asked for.
struct Job<'a> {
    asked: &'a EmbedArguments,
    shop: &'a ShopDefaults,
    source: &'a Source,
    terminal: &'a Terminal,
}

/// Where a new file stands, and the copy of the old one.
#[derive(Default)]
struct Written {
    path: Option<PathBuf>,
    original: Option<PathBuf>,
}

impl Written {
    fn text(&self) -> String {
        let Some(path) = &self.path else {
            return "nothing was written; name a file with -o, or ask for --in-place\n".to_owned();
        };
        let copy = self.original.as_ref().map(|copy| format!("; the original is kept as {}", copy.display()));
        format!("wrote {}{}\n", path.display(), copy.unwrap_or_default())
    }
}

impl Job<'_> {
    fn is_json(&self) -> bool {
        self.asked.format == EmbedFormat::Json
    }

    fn trouble(&self, error: EmbedError) -> Trouble {
        Trouble::Embed { path: self.source.name().into(), error }
    }

    fn put_in(&self, wish: &Wish) -> Result<Outcome, Trouble> {
        let setup = setup::load(&self.asked.print, self.shop)?;
        let requests = by_hand(self.asked);
        let wants_inserts = !(wish.inserts.is_empty() && wish.by_pocket.is_empty());
        let look = if wants_inserts || requests.is_empty() { Look::Pockets } else { Look::Layers };
        let piece = Workpiece::read(self.source.bytes(), &setup, look).map_err(|error| self.trouble(error))?;
        let inserts = Insert::known(&self.shop.folders)?;
        let answer =
            EmbedAnswer { name: self.source.name(), piece: Some(&piece), inserts: &inserts, ..EmbedAnswer::default() };
        if requests.is_empty() && !wants_inserts {
            self.terminal.answer(&if self.is_json() {
                embed_json(&answer)
            } else {
                pockets_text(self.source.name(), &piece, &inserts, self.shop.figures())
            })?;
            return Ok(Outcome::Fine);
        }
        let planned = self.plan(&piece, wants_inserts.then_some(wish), requests);
        if let (Err(Trouble::Embed { error, .. }), true) = (&planned, self.is_json()) {
            let refused = error.to_string();
            self.terminal.answer(&embed_json(&EmbedAnswer { refused: Some(&refused), ..answer }))?;
        }
        let (seating, stopped) = planned?;
        self.warn(&seating.warnings);
        for left in seating.left_in_words() {
            self.remark(&format!("left empty: {left}"));
        }
        self.warn(&stopped.warnings);
        self.deliver(EmbedAnswer { seating: Some(&seating), ..answer }, &stopped, &setup.machine.stop.command)
    }

    fn plan(
        &self,
        piece: &Workpiece<'_>,
        wish: Option<&Wish>,
        mut requests: Vec<StopRequest>,
    ) -> Result<(Seating, Stopped), Trouble> {
        let mut seating = Seating::default();
        if let Some(wish) = wish {
            let grades = MagnetGrades::built_in()?;
            seating = piece.seat(wish, Some(&grades)).map_err(|error| self.trouble(error))?;
            let seats = seating.requests(piece.pockets());
            requests.extend(seats.into_iter().map(|request| with_notes(request, &self.asked.notes)));
        }
        let stopped = piece.put_stops(&requests).map_err(|error| self.trouble(error))?;
        Ok((seating, stopped))
    }

    /// Writes the new file where it was asked for, or shows what it would be.
    fn deliver(&self, answer: EmbedAnswer<'_>, stopped: &Stopped, command: &str) -> Result<Outcome, Trouble> {
        let asked = self.asked;
        if asked.to_output() && !asked.dry_run {
            self.terminal.answer_bytes(&self.source.packed(&stopped.bytes)?)?;
            return Ok(Outcome::Fine);
        }
        let stays = stopped.unchanged && asked.in_place;
        let written = if stays { Written::default() } else { self.write(&stopped.bytes, asked.no_copy)? };
        if self.is_json() {
            let (path, original) = (written.path.as_deref(), written.original.as_deref());
            let answer = EmbedAnswer { stopped: Some(stopped), written: path, original, ..answer };
            self.terminal.answer(&embed_json(&answer))?;
            return Ok(Outcome::Fine);
        }
        let mut text = stops_text(self.source.name(), stopped, self.shop.figures());
        if stays && !asked.dry_run {
            text.push_str("the file was left as it is\n");
        } else {
            if written.path.is_none() {
                text.push_str(&preview(&stopped.bytes).map_err(|error| self.trouble(error))?);
            }
            text.push_str(&written.text());
        }
        if !self.terminal.quiet {
            text.push_str(&format!(
                "{STOP_CAUTIONS}\nTry the stop command of your machine profile ({command}) before you rely on it.\n"
            ));
        }
        self.terminal.answer(&text)?;
        Ok(Outcome::Fine)
    }

    fn take_out(&self) -> Result<Outcome, Trouble> {
        let undone = undo(self.source.bytes()).map_err(|error| self.trouble(error))?;
        if undone.stops == 0 {
            let name = self.source.name();
            return Err(Trouble::Arguments(format!("{name} has no stops of this program to take out")));
        }
        let outcome = if undone.original == Some(false) { Outcome::Refused } else { Outcome::Fine };
        if self.asked.to_output() && !self.asked.dry_run {
            self.terminal.answer_bytes(&self.source.packed(&undone.bytes)?)?;
            return Ok(outcome);
        }
        // Taking stops out in place leaves no copy: the stopped file can be made again.
        let written = self.write(&undone.bytes, true)?;
        self.terminal.answer(&if self.is_json() {
            let (name, written) = (self.source.name(), written.path.as_deref());
            embed_json(&EmbedAnswer { name, undone: Some(&undone), written, ..EmbedAnswer::default() })
        } else {
            format!("{}{}", self.undone_text(&undone), written.text())
        })?;
        Ok(outcome)
    }

    fn undone_text(&self, undone: &Undone) -> String {
        let known = match undone.original {
            Some(true) => "what remains is the original, byte for byte",
            Some(false) => "the file was changed after the stops went in; that change is still in it",
            None => "the stops do not say what the original was",
        };
        let stops = if undone.stops == 1 { "1 stop".to_owned() } else { format!("{} stops", undone.stops) };
        format!("{}: {stops} taken out; {known}\n", self.source.name())
    }

    /// Writes a new file with `bytes`, unless none was asked for.
    fn write(&self, bytes: &[u8], no_copy: bool) -> Result<Written, Trouble> {
        let asked = self.asked;
        if asked.dry_run || !asked.writes() {
            return Ok(Written::default());
        }
        let path = match (&asked.output, self.source.path()) {
            (Some(output), _) => output.as_path(),
            (None, Some(path)) => path,
            (None, None) => return Err(Trouble::Arguments("--in-place needs a file, not standard input".to_owned())),
        };
        let target = Target {
            path,
            source: self.source.path(),
            in_place: asked.in_place,
            keep_original: asked.in_place && !no_copy,
        };
        self.source.settled()?;
        let kept = write_file(target, &self.packed_for(path, bytes)?)?;
        Ok(Written { path: Some(path.to_owned()), original: kept.original })
    }

    /// The package again; but only the G-code where that is what the new file's name says.
    fn packed_for<'b>(&self, path: &Path, bytes: &'b [u8]) -> Result<Cow<'b, [u8]>, Trouble> {
        let by_name = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("gcode"));
        let plain = by_name && !self.asked.in_place;
        Ok(if plain { Cow::Borrowed(bytes) } else { self.source.packed(bytes)? })
    }

    /// Says things to think about, where the answer itself does not hold them.
    fn warn(&self, warnings: &[Diagnostic]) {
        for warning in warnings {
            let word = match warning.severity {
                Severity::Note => "note",
                Severity::Warning => "warning",
                Severity::Error => "trouble",
            };
            let remedy = warning.remedy.as_ref().map(|remedy| format!(" ({remedy})")).unwrap_or_default();
            self.remark(&format!("{word}: {}{remedy}", warning.message));
        }
    }

    fn remark(&self, text: &str) {
        if !self.is_json() {
            self.terminal.remark(text);
        }
    }
}

/// Stops that were asked for by layer or height.
fn by_hand(asked: &EmbedArguments) -> Vec<StopRequest> {
    let layers = asked.layers.iter().map(|&layer| Place::AfterLayer(layer));
    let heights = asked.heights.iter().map(|&height| Place::AtHeight(height.mm()));
    layers.chain(heights).map(|place| StopRequest { place, notes: asked.notes.clone() }).collect()
}

/// The same stop, with what the user wants to be told there (such as which pole goes up).
fn with_notes(mut request: StopRequest, notes: &[String]) -> StopRequest {
    request.notes.extend_from_slice(notes);
    request
}

fn wish(asked: &EmbedArguments, shop: &ShopDefaults) -> Result<Wish, Trouble> {
    let mut wish = Wish { units: shop.units(), ..Wish::default() };
    if let Some(room_mm) = asked.clearance.map(Length::mm) {
        wish.asked.room_mm = room_mm;
    }
    for name in &asked.inserts {
        wish.inserts.push(Insert::load_in(name, &shop.folders)?);
    }
    for text in &asked.pockets {
        let Some((pocket, insert)) = text.split_once('=') else {
            let message = format!("--pocket {text}: write POCKET=INSERT, for example p1=m6-nut");
            return Err(Trouble::Arguments(message));
        };
        wish.by_pocket.push((pocket.trim().to_owned(), Insert::load_in(insert.trim(), &shop.folders)?));
    }
    Ok(wish)
}

/// The exit code for a stop that was not written: the user's slip, or a part that does not take it.
pub const fn outcome_of(error: &EmbedError) -> Outcome {
    match error {
        EmbedError::Misfit { .. } | EmbedError::NotProven(_) | EmbedError::NoPockets => Outcome::Refused,
        _ => Outcome::Usage,
    }
}
