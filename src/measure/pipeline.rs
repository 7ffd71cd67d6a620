//! The way from bytes to measurements.

use super::collect::{Collected, Collector};
use super::reading::{Laid, Laying, Progress, read_steps};
use super::setup::{MeasureError, Setup};
use super::totals::{ToolTotals, Totals};
use super::worked::Worked;
use super::{FileFacts, PrintMeasures};
use crate::deposit::{Layer, Tower};
use crate::geom::box_of;
use crate::motion::{Motion, Step, Summary};
use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};

/// Full batches that wait for the measuring threads at most.
const WAITING_BATCHES: usize = 1;

/// Lists of steps that wait to be laid at most: as many as come while a large layer is finished.
const WAITING_LISTS: usize = 48;

/// Files so short that threads of their own take longer to start than they take to read.
const SHORT_BYTES: usize = 1 << 15;

/// Measures a whole file.
///
/// # Errors
/// [`MeasureError::NoDeposit`] when nothing is printed, [`MeasureError::BadLine`] when reading strictly.
pub fn measure_print(bytes: &[u8], setup: &Setup, progress: Progress<'_>) -> Result<PrintMeasures, MeasureError> {
    let collector = || Collector::new(setup.detail);
    let (read, collected) = read_side_by_side(bytes, setup, progress, &collector, Collector::add)?;
    read.finish(collected.finish())
}

/// Reads a file: one thread reads and moves, one builds layers, and one gives every full batch of them to what `new`
/// makes.
pub(super) fn read_side_by_side<'a, T: Send>(
    bytes: &[u8],
    setup: &'a Setup,
    progress: Progress<'_>,
    new: &(impl Fn() -> T + Sync),
    take: impl Fn(&mut T, Vec<Layer>) + Send + Copy,
) -> Result<(WholeRead<'a>, T), MeasureError> {
    // A thread of the measuring pool must not wait for that pool.
    if rayon::current_thread_index().is_some() || bytes.len() < SHORT_BYTES {
        return read_on_one_thread(bytes, setup, progress, new(), take);
    }
    let (give_steps, take_steps) = sync_channel::<Vec<Step>>(WAITING_LISTS);
    let (give_back, take_back) = channel::<Vec<Step>>();
    let (give_layers, take_layers) = sync_channel::<Vec<Layer>>(WAITING_BATCHES);
    std::thread::scope(|scope| {
        let laying =
            std::thread::Builder::new().spawn_scoped(scope, move || lay(&take_steps, &give_back, &give_layers));
        let measuring = std::thread::Builder::new().spawn_scoped(scope, move || {
            let mut gathered = new();
            take_layers.iter().for_each(|layers| take(&mut gathered, layers));
            gathered
        });
        let (Ok(laying), Ok(measuring)) = (laying, measuring) else {
            drop(give_steps);
            return read_on_one_thread(bytes, setup, progress, new(), take);
        };
        let read = read_steps(bytes, setup, progress, &mut |steps| {
            let emptied = take_back.try_recv().unwrap_or_default();
            drop(give_steps.send(std::mem::replace(steps, emptied)));
        });
        drop(give_steps);
        let laid = laying.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        let gathered = measuring.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        Ok((WholeRead { setup, motion: read?, laid, bytes: bytes.len() as u64 }, gathered))
    })
}

/// Lays all steps that come, gives the emptied lists back and the layers on.
fn lay(steps: &Receiver<Vec<Step>>, back: &Sender<Vec<Step>>, layers: &SyncSender<Vec<Layer>>) -> Laid {
    let mut laying = Laying::default();
    // Nobody takes any more only after a panic, which `join` brings to light.
    let mut hand_on = |batch| drop(layers.send(batch));
    for mut list in steps {
        laying.take(&mut list, &mut hand_on);
        drop(back.send(list));
    }
    laying.finish(&mut hand_on)
}

fn read_on_one_thread<'a, T>(
    bytes: &[u8],
    setup: &'a Setup,
    progress: Progress<'_>,
    mut gathered: T,
    take: impl Fn(&mut T, Vec<Layer>),
) -> Result<(WholeRead<'a>, T), MeasureError> {
    let mut laying = Laying::default();
    let mut hand_on = |layers| take(&mut gathered, layers);
    let motion = read_steps(bytes, setup, progress, &mut |steps| laying.take(steps, &mut hand_on))?;
    let laid = laying.finish(&mut hand_on);
    Ok((WholeRead { setup, motion, laid, bytes: bytes.len() as u64 }, gathered))
}

/// What is measured with a collector that knows of repeated layers.
pub(super) struct WithRepeats {
    pub measures: PrintMeasures,
    /// The layers that it kept.
    pub kept: Vec<(Layer, Worked)>,
    /// Plastic that the part holds beyond what was laid, by tool, mm³.
    pub more_mm3: BTreeMap<u16, f64>,
}

/// Measures with a collector that knows of repeated layers.
pub(super) fn measure_with(bytes: &[u8], setup: &Setup, collector: Collector) -> Result<WithRepeats, MeasureError> {
    let (read, collector) = read_on_one_thread(bytes, setup, &mut |_| {}, collector, Collector::add)?;
    let mut collected = collector.finish();
    let (kept, more_mm3) = (std::mem::take(&mut collected.kept), std::mem::take(&mut collected.repeated_mm3));
    Ok(WithRepeats { measures: read.finish(collected)?, kept, more_mm3 })
}

/// What reading alone tells of a file.
pub(super) struct WholeRead<'a> {
    setup: &'a Setup,
    motion: Motion,
    laid: Laid,
    bytes: u64,
}

impl WholeRead<'_> {
    /// With what was measured on its layers: everything that is known of the print.
    fn finish(self, collected: Collected) -> Result<PrintMeasures, MeasureError> {
        let summary = self.motion.summary();
        let Laid { sums, watch } = self.laid;
        let (totals, tools) = Totals::with_materials(&sums, summary.dwell_s, self.setup);
        if !(totals.volume_mm3 > 0.0) {
            return Err(MeasureError::NoDeposit { lines: summary.lines });
        }
        let mut assumptions = assumptions(summary, &tools, self.setup);
        assumptions.extend(sums.tower.map(about_tower));
        Ok(PrintMeasures {
            file: FileFacts {
                bytes: self.bytes,
                lines: summary.lines,
                bad_lines: summary.bad_lines,
                unknown_commands: summary.unknown_commands(),
            },
            totals,
            tools,
            roles: collected.roles_with_purge(sums.blob_before_mm3 + sums.blob_after_mm3),
            agreement: collected.agreement,
            layers: collected.layers,
            part: collected.part,
            pockets: collected.pockets,
            cuts: collected.cuts,
            flow: watch.finish(),
            deposit_box_mm: sums.box_mm,
            stops: sums.stops,
            diagnostics: summary.diagnostics.clone(),
            assumptions,
        })
    }
}

/// What was made of a body that every tool goes to first.
fn about_tower(tower: Tower) -> String {
    let (low, high) = box_of(&tower.corners()).unwrap_or_default();
    let taken = if tower.sure {
        "was taken for a tower to clean tools on, and is left out of the part"
    } else {
        "may be a tower to clean tools on; it is counted as part"
    };
    format!(
        "what every tool lays first after each change, at x {:.1} to {:.1} mm and y {:.1} to {:.1} mm, {taken}",
        low.x, high.x, low.y, high.y
    )
}

/// What was taken to hold because the file alone cannot say: the filament, and what dialects disagree about.
fn assumptions(summary: &Summary, tools: &[ToolTotals], setup: &Setup) -> Vec<String> {
    let mut said: Vec<String> = tools
        .iter()
        .map(|t| {
            let from_card = setup.material(t.tool).is_some_and(|m| m.filament_mm.is_some());
            let origin = if from_card { "the material card" } else { "the machine profile" };
            format!(
                "tool {} was taken to feed filament of {:.2} mm ({origin}); another diameter makes other widths",
                t.tool,
                setup.filament_mm(t.tool)
            )
        })
        .collect();
    said.extend(summary.dialect());
    if summary.lines_after_end > 0 {
        said.push(format!("{} lines after the end of the program never run", summary.lines_after_end));
    }
    said
}

#[cfg(test)]
mod tests {
    use super::super::RoleSource;
    use super::super::fixture::{FILAMENT_MM2, brick, draw, measured, setup, stack, text_of};
    use super::*;
    use crate::profile::Role;
    use crate::shape::fixture::{plate, ring};

    const SQUARE: &str = "G0 X50 Y50 Z0.2\nG1 X80 E1.2 F1200\nG1 Y80 E1.2\nG1 X50 E1.2\nG1 Y50 E1.2\n";

    #[test]
    fn the_filament_is_said_to_be_assumed_from_the_card_or_from_the_machine() {
        let said = |setup: &Setup| measured(&format!("M83\n{SQUARE}"), setup).assumptions.remove(0);
        let card = said(&setup());
        assert!(card.contains("tool 0 ") && card.contains("1.75 mm (the material card)"), "{card}");
        let machine = said(&Setup { material: None, ..setup() });
        assert!(machine.contains("1.75 mm (the machine profile)"), "{machine}");
    }

    #[test]
    fn lines_after_the_end_of_the_program_are_told_where_there_are_any() {
        let said = |after: &str| {
            let print = measured(&format!("M83\n{SQUARE}M2\n{after}"), &setup());
            print.assumptions.into_iter().filter(|said| said.contains("after the end")).collect::<Vec<_>>()
        };
        assert!(said("\n").is_empty());
        assert_eq!(said("G0 X5\nG0 X6\n"), ["2 lines after the end of the program never run"]);
    }

    #[test]
    fn plastic_before_the_first_bead_and_after_the_last_is_purge() {
        let print = measured(&format!("M83\nG1 E3 F300\n{SQUARE}G1 E1 F300\n"), &setup());
        let purge: Vec<_> = print.roles.iter().filter(|role| role.role == Role::Purge).collect();
        assert!(matches!(purge[..], [p] if p.source == RoleSource::Motion), "{purge:?}");
        assert!((purge[0].volume_mm3 - 4.0 * FILAMENT_MM2).abs() < 1e-9, "{purge:?}");
    }

    #[test]
    fn a_file_without_plastic_is_no_print_and_what_is_odd_in_a_print_is_counted() {
        let empty = measure_print(b"G28\nG1 X5\nG0 Z3\n", &setup(), &mut |_| {});
        assert!(matches!(empty, Err(MeasureError::NoDeposit { lines: 3 })));
        let text = format!("M83\n{SQUARE}M9999\nG1 X!\n");
        let file = measured(&text, &setup()).file;
        assert_eq!((file.bytes, file.lines, file.bad_lines, file.unknown_commands), (text.len() as u64, 8, 1, 1));
    }

    /// What is said of a body that each of two tools lays a half of before its own body, in every layer.
    fn said_of_tower(walls: usize, density: f64) -> Vec<String> {
        let drawn =
            |[x0, y0]: [f64; 2], [x1, y1]: [f64; 2]| plate(ring(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), &[]);
        let jaw = (drawn([19.775, 59.775], [30.225, 64.725]), brick());
        let liner = (drawn([19.775, 64.675], [30.225, 69.625]), drawn([50.0, 62.4], [70.0, 67.4]));
        let layers = stack(12, |_, laid| {
            for (tool, (half, body)) in [&jaw, &liner].into_iter().enumerate() {
                let first = laid.layer.strands.len();
                laid.walls(half, walls).fill(half, walls, density);
                draw(laid, body, 1.0);
                laid.layer.strands[first..].iter_mut().for_each(|strand| strand.tool = tool as u16);
            }
        });
        let print = measured(&text_of(&layers), &setup());
        print.assumptions.into_iter().filter(|said| said.contains("what every tool lays first")).collect()
    }

    #[test]
    fn a_tower_to_clean_tools_on_is_told_with_its_place_and_so_is_what_only_may_be_one() {
        let place = "what every tool lays first after each change, at x 20.0 to 30.0 mm and y 60.0 to 69.4 mm,";
        let open = "was taken for a tower to clean tools on, and is left out of the part";
        assert_eq!(said_of_tower(1, 0.33), [format!("{place} {open}")]);
        let full = "may be a tower to clean tools on; it is counted as part";
        assert_eq!(said_of_tower(2, 1.0), [format!("{place} {full}")]);
    }
}
