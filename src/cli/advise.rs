//! `beadwise advise`.

use super::arguments::{AdviseArguments, Format};
use super::audit::read_source;
use super::outcome::{Outcome, Trouble};
use super::shop::ShopDefaults;
use super::terminal::Terminal;
use super::{page, progress, setup};
use beadwise::advise::{Asked, Request, advise};
use beadwise::measure::{MeasureError, measure_print};
use beadwise::profile::Material;
use beadwise::report::{AdvisedFile, Paint, advice_json, advice_page, advice_text, standing_text};
use beadwise::strength::check_cases;

/// Measures a file, lays it again with other settings and says which hold for the least.
pub fn run(asked: &AdviseArguments, shop: &ShopDefaults, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let setup = setup::load(&asked.print, shop)?;
    let checks = asked.checks.load(shop)?;
    if checks.strength.is_none() && checks.cases.case.is_empty() {
        let advice = "say what the part must do: a load (--load), what class of part it is (--for), or both";
        return Err(Trouble::Arguments(advice.to_owned()));
    }
    let goal = asked.least.into();
    let no_price = setup.materials.values().chain(&setup.material).all(|m| m.price_per_kg.is_none());
    if asked.least == super::arguments::Least::Cost && no_price {
        let advice = "--least cost: no material with a price is named: give --material";
        return Err(Trouble::Arguments(advice.to_owned()));
    }
    let source = read_source(&asked.file, &asked.print)?;
    let unread = |error: MeasureError| Trouble::Measure { path: source.name().into(), error };
    let bytes = source.bytes();
    let measures = measure_print(bytes, &setup, &mut |_| {}).map_err(unread)?;
    let cases = check_cases(bytes, &setup, &measures, &checks.cases, checks.reserve).map_err(unread)?;
    let other_materials = other_materials(shop);
    let request = Request {
        asked: Asked { strength: checks.strength.as_ref(), cases: &checks.cases, reserve: checks.reserve },
        goal,
        other_materials: &other_materials,
        most_tries: None,
    };
    let bar = progress::tries(terminal.quiet);
    let advice = advise(bytes, &setup, request, &measures, &cases, &mut |done, most| {
        bar.set_length(most as u64);
        bar.set_position(done as u64);
    })
    .map_err(unread)?;
    bar.finish_and_clear();
    let outcome = if advice.refuses() { Outcome::Refused } else { Outcome::Fine };
    let mut assumptions = measures.assumptions.clone();
    assumptions.extend(shop.said(
        asked.print.machine.is_some(),
        !asked.print.materials.is_empty(),
        asked.checks.strength_profile.is_some(),
    ));
    let file = AdvisedFile {
        name: source.name().to_owned(),
        machine: setup.machine.name.clone(),
        strength_profile: checks.strength.as_ref().map(|s| s.name.clone()),
        assumptions,
        advice,
    };
    let figures = shop.figures();
    if let Some(report) = &asked.report {
        page::write(report, &source, &advice_page(&file, figures))?;
    }
    let paint = Paint::new(terminal.color);
    terminal.answer(&match asked.format {
        Format::Json => advice_json(&file),
        Format::Html => advice_page(&file, figures),
        Format::Text if terminal.quiet => standing_text(&file, figures, paint),
        Format::Text => advice_text(&file, figures, paint),
    })?;
    Ok(outcome)
}

/// The built-in materials at the shop's prices. A card of the shop's own that cannot be read is no reason to stop.
fn other_materials(shop: &ShopDefaults) -> Vec<Material> {
    Material::built_in_names().filter_map(|name| shop.material(name).ok()).collect()
}
