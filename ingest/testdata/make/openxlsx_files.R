# Fixtures written by R's openxlsx 4.2.5.2 (R 4.2.2, Debian 12), from the tables
# that openpyxl_files.py wrote: Rscript openxlsx_files.R FILES
suppressPackageStartupMessages(library(openxlsx))
files <- commandArgs(trailingOnly = TRUE)[1]
from <- function(name) file.path(files, name)

book <- function(name, fill) {
  wb <- createWorkbook(creator = "openxlsx")
  fill(wb)
  # the time of writing is fixed, so that the file changes only with its content
  wb$core <- gsub("<dcterms:created[^>]*>[^<]*<", "<dcterms:created xsi:type=\"dcterms:W3CDTF\">2025-01-01T00:00:00Z<", wb$core)
  saveWorkbook(wb, from(name), overwrite = TRUE)
}

# every sheet of a workbook again; na is what openxlsx does with NA: a blank cell
again <- function(source, dates = FALSE) function(wb) {
  for (s in getSheetNames(from(source))) {
    addWorksheet(wb, s)
    d <- read.xlsx(from(source), sheet = s, sep.names = " ", detectDates = dates, skipEmptyRows = FALSE)
    writeData(wb, s, d, borders = "none")
  }
}

book("r-clean.xlsx", again("op-clean.xlsx"))
book("r-dates.xlsx", again("op-dates.xlsx", dates = TRUE))
book("r-table.xlsx", function(wb) {
  addWorksheet(wb, "flat")
  # a formatted table with a filter, as people make them
  writeDataTable(wb, "flat", read.xlsx(from("op-flat.xlsx"), sep.names = " "))
  freezePane(wb, "flat", firstRow = TRUE)
})

small <- data.frame(
  case = c("B1", "B1", "B2"), status = "completed", course = 1, tooth = c(13, 45, 33),
  axis = c("rotation", "vertical", "buccolingual torque"), check.names = FALSE
)
book("r-two-units.xlsx", function(wb) {
  addWorksheet(wb, "Sheet1")
  two <- cbind(small,
    "planned (mm)" = c(NA, -1.5, NA), "planned (deg)" = c(12.5, NA, -4),
    "achieved (mm)" = c(NA, -1.25, NA), "achieved (deg)" = c(10, NA, 1)
  )
  writeData(wb, "Sheet1", "Audit 2024", startRow = 1)
  mergeCells(wb, "Sheet1", cols = 1:9, rows = 1)
  writeData(wb, "Sheet1", two, startRow = 3)
})
book("r-units-above.xlsx", function(wb) {
  addWorksheet(wb, "Sheet1")
  top <- c("case", "status", "course", "tooth", "Rotation (deg)", "", "Vertical (mm)", "", "Torque (deg)", "", "Notes")
  writeData(wb, "Sheet1", t(top), colNames = FALSE)
  writeData(wb, "Sheet1", t(rep(c("planned", "achieved"), 3)), startRow = 2, startCol = 5, colNames = FALSE)
  for (at in c(5, 7, 9)) mergeCells(wb, "Sheet1", cols = at + 0:1, rows = 1)
  for (at in c(1:4, 11)) mergeCells(wb, "Sheet1", cols = at, rows = 1:2)
  wide <- cbind(small[1:4], r1 = c(12.5, NA, NA), r2 = c(10, NA, NA), v1 = c(NA, -1.5, NA), v2 = c(NA, -1.25, NA), t1 = c(NA, NA, -4), t2 = c(NA, NA, 1))
  writeData(wb, "Sheet1", wide, startRow = 3, colNames = FALSE)
})
book("r-percent-only.xlsx", function(wb) {
  addWorksheet(wb, "Sheet1")
  writeData(wb, "Sheet1", cbind(small, planned = c(12.5, -1.5, -4), "Achieved (%)" = c(80, 83, -25)))
})
