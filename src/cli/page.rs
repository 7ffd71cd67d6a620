//! Pages: made of an audit and its file, written where the user wants them.

use super::outcome::Trouble;
use beadwise::embed::frames;
use beadwise::measure::{Setup, draw_layers};
use beadwise::profile::StrengthProfile;
use beadwise::report::{AuditPage, AuditedFile, Figures, audit_page, layers_to_draw};
use beadwise::source::{Source, Target, write_file};
use std::path::{Path, PathBuf};

/// The page of one audited file; reads the file once more for the drawings.
pub fn audit_page_of(
    source: &Source,
    file: &AuditedFile,
    setup: &Setup,
    strength: Option<&StrengthProfile>,
    figures: Figures,
) -> String {
    let wanted = layers_to_draw(file, figures);
    let drawings = draw_layers(source.bytes(), setup, &wanted.iter().map(|w| w.index).collect());
    // A torn stop has no notes that could be trusted; the audit reads the file all the same.
    let frames = frames(source.bytes()).unwrap_or_default();
    let stop_notes: Vec<_> = frames.into_iter().map(|f| (f.after_layer, f.notes)).collect();
    audit_page(&AuditPage {
        file,
        setup,
        strength,
        wanted: &wanted,
        drawings: &drawings,
        stop_notes: &stop_notes,
        figures,
    })
}

/// Writes a page to a file, or into a folder under the name of its input; never over the input itself.
pub fn write(to: &Path, source: &Source, page: &str) -> Result<(), Trouble> {
    let path = if to.is_dir() { to.join(page_name(source)) } else { to.to_owned() };
    let target = Target { path: &path, source: source.path(), in_place: false, keep_original: false };
    write_file(target, page.as_bytes())?;
    Ok(())
}

/// Writes a page of several inputs.
pub fn write_new(to: &Path, page: &str) -> Result<(), Trouble> {
    write_file(Target { path: to, source: None, in_place: false, keep_original: false }, page.as_bytes())?;
    Ok(())
}

/// Writes a page beside its input and says where; never over a file that is no page of ours.
pub fn write_beside(source: &Source, page: &str) -> Result<PathBuf, Trouble> {
    let input = source.path().unwrap_or(Path::new("."));
    let stem = input.file_stem().unwrap_or_else(|| "report".as_ref()).to_string_lossy();
    let mut names = std::iter::once(format!("{stem}.html")).chain((2..100).map(|n| format!("{stem}-{n}.html")));
    let path = names.find_map(|name| {
        let path = input.with_file_name(name);
        (!path.exists() || is_ours(&path)).then_some(path)
    });
    let path = path.ok_or_else(|| Trouble::Arguments(format!("too many pages beside {}", input.display())))?;
    write(&path, source, page)?;
    Ok(path)
}

/// Whether a file is a page that this program wrote.
fn is_ours(path: &Path) -> bool {
    std::fs::read(path).is_ok_and(|bytes| {
        let head = String::from_utf8_lossy(bytes.get(..1024).unwrap_or(&bytes)).into_owned();
        head.contains(r#"<meta name="generator" content="beadwise">"#)
    })
}

/// The input's name with `.html` for its ending.
fn page_name(source: &Source) -> PathBuf {
    let name = Path::new(source.name()).file_stem().unwrap_or_else(|| "report".as_ref());
    Path::new(name).with_extension("html")
}
