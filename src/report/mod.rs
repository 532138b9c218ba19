//! What people are handed. One plain [`StormReport`] is behind every format,
//! so the numbers in them cannot differ.

mod bills_report;
mod car_sheet;
mod close_report;
mod comparison;
mod csv;
pub mod document;
mod file_name;
mod forecast_report;
mod forecast_words;
mod grid;
pub mod html;
mod json;
mod lot_report;
mod lot_words;
pub mod pages;
mod parquet;
mod pay_tables;
pub mod pdf;
pub mod picture;
mod plain;
mod plan_calendar;
mod plan_report;
mod plan_tables;
mod plan_words;
mod sample_report;
mod staff_report;
mod storm_report;
mod sum_report;
mod summary;
mod supplement;
mod terminal;
mod ubl;
mod workbook;
mod write;

pub use self::csv::{guarded, to_csv, write_csv};
pub use bills_report::{
    BillsReport, BillsTotals, ages_grid, bills_json, bills_summary, bills_sums_json,
    differences_grid, kind_title, ledger_grid, receivables_grid,
};
pub use car_sheet::{car_sheet, car_sheet_json};
pub use close_report::{CloseReport, Earned, close_grid, close_json};
pub use comparison::{comparison_grid, comparison_text, not_comparable_grid};
pub use file_name::folder_name;
pub use forecast_report::{DueOdds, ForecastReport};
pub use forecast_words::{
    forecast_grid, forecast_json, forecast_notes, forecast_summary, forecast_sums_json,
    forecast_verdict, no_forecast, no_forecast_json,
};
pub use grid::{CellSink, Column, Grid, Kind, Tabular, Value};
pub use json::grid_to_json;
pub use lot_report::{LotReport, lot_grid, lot_json};
pub use lot_words::{lot_cautions, lot_summary};
pub use parquet::to_parquet;
pub use pay_tables::{pay_grid, split_summary, statement_files, statement_grid};
pub use plain::document_text;
pub use plan_calendar::plan_calendar;
pub use plan_report::{PlanLine, PlanReport, TaskPart};
pub use plan_tables::{plan_grid, plan_json, plan_sums_json};
pub use plan_words::{plan_cautions, plan_summary};
pub use sample_report::{SampleReport, sample_json, sample_text};
pub use staff_report::{StaffReport, staff_grid, staff_json, staff_summary};
pub use storm_report::{StormReport, line_grid};
pub use sum_report::{CarTable, SumReport};
pub use summary::{PriceShown, storm_summary};
pub use supplement::{supplement_cars, supplement_lines, supplement_text};
pub use terminal::{TextTable, Width};
pub use ubl::{UblInput, ubl_bill};
pub use workbook::{storm_workbook, tables_workbook};
pub use write::{Beside, ReportFolder, WriteError};
