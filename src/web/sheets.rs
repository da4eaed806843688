//! The sheets that leave the basement: the customer's notice, the homeowner's sheet and the
//! calendar file, made from what the device keeps.

use super::result::{parsed_of, quoted_way, report_of};
use super::session::Session;
use super::{Answer, Saved, Wrong};
use crate::climate::find_place;
use crate::report::notice::{Company, Figures, NoticeOf, Standing, Variant, notice};
use crate::report::{HomeSheetOf, Units, calendar_in, homeowner_sheet};
use crate::survey::place_query;
use crate::verdict::Detail;
use crate::verdict::place_prior::place_prior;
use crate::words::Language;
use serde::Deserialize;

/// Which sheet.
#[derive(Debug, Deserialize)]
#[serde(tag = "sheet", rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum SheetOf {
    Notice {
        /// What was decided; nothing for what the verdict itself asks for.
        variant: Option<String>,
        figures: FiguresWord,
        standing: StandingWord,
        /// What the device keeps of the company.
        #[serde(default)]
        company: Company,
    },
    Homeowner,
    Calendar,
    /// The whole report with its drawings.
    Report,
}

/// Whether chances stand in percent too.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum FiguresWord {
    Words,
    Percent,
}

/// Whether the answers are those of the visit.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum StandingWord {
    AsSaid,
    WhatIf,
}

/// Makes a sheet, as markup, or a file to keep.
pub(super) fn sheet_of(
    kept: &Session,
    (units, language): (Units, Language),
    quote: Option<&str>,
    of: SheetOf,
) -> Result<Answer, Wrong> {
    let parsed = parsed_of(&kept.interview(None)?.interview, language)?;
    let detail = match of {
        SheetOf::Notice { .. } | SheetOf::Homeowner => Detail::Ways,
        SheetOf::Calendar | SheetOf::Report => Detail::Everything,
    };
    let report = report_of(&parsed, quoted_way(quote)?, detail)?;
    match of {
        SheetOf::Notice {
            variant,
            figures,
            standing,
            company,
        } => {
            let variant = match variant {
                None => None,
                Some(word) => Some(
                    Variant::from_word(&word)
                        .ok_or_else(|| format!("\"{word}\" is not a kind of notice"))?,
                ),
            };
            let paper = notice(NoticeOf {
                report: &report,
                visit: &parsed.visit,
                company: &company,
                variant,
                figures: match figures {
                    FiguresWord::Words => Figures::Words,
                    FiguresWord::Percent => Figures::Percent,
                },
                standing: match standing {
                    StandingWord::AsSaid => Standing::AsSaid,
                    StandingWord::WhatIf => Standing::WhatIf,
                },
                units,
                language,
            })
            .map_err(|it| it.to_string())?;
            Ok(Answer::Html {
                html: paper.html_body(),
            })
        }
        SheetOf::Homeowner => {
            let place =
                find_place(&place_query(&parsed.visit.place)).map_err(|it| it.to_string())?;
            let paper = homeowner_sheet(HomeSheetOf {
                place: &place,
                place_prior: &place_prior(&place),
                answered: Some((&parsed.visit, &report)),
                language,
                units,
            });
            Ok(Answer::Html {
                html: paper.html_body(),
            })
        }
        SheetOf::Report => Ok(Answer::Html {
            html: crate::report::html_body(&report, units),
        }),
        SheetOf::Calendar => {
            if crate::report::calendar::entries(&report).is_empty() {
                return Err(Wrong::from(language.say_with(
                    "page.sheet.no_day",
                    &[("step", language.say(&report.next_step_key))],
                )));
            }
            Ok(Answer::Saved(Saved {
                name: format!(
                    "{}-{}.ics",
                    language.say("page.sheet.calendar.name"),
                    report.visit_date
                ),
                text: calendar_in(language, &report),
            }))
        }
    }
}
