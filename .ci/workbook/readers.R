# Reads every sheet of a report's workbook with readxl and holds two columns
# against the plain tables: Rscript readers.R REPORT-DIR
report <- commandArgs(trailingOnly = TRUE)[1]
book <- file.path(report, "report.xlsx")
sheets <- readxl::excel_sheets(book)
rows <- 0
for (sheet in sheets) {
  cells <- suppressMessages(readxl::read_excel(book, sheet = sheet, col_names = FALSE, col_types = "text"))
  stopifnot(nrow(cells) > 0)
  bad <- vapply(cells, function(x) any(x %in% c("NaN", "Inf", "-Inf", "#N/A", "#VALUE!", "#REF!", "#DIV/0!", "#NUM!", "#NAME?")), TRUE)
  if (any(bad)) stop("an error value on sheet ", sheet)
  rows <- rows + nrow(cells)
}
pours <- suppressMessages(readxl::read_excel(book, sheet = "Plaster pours", skip = 4))
ours <- read.csv(file.path(report, "tables", "pour_waste.csv"))
pours <- pours[match(ours$pour, pours$Pour), ]
stopifnot(isTRUE(all.equal(as.numeric(pours[["Waste (kg)"]]), ours$waste_kg, tolerance = 1e-9)))
stopifnot(all(as.Date(pours$Date) == as.Date(ours$date)))
cat(sprintf("readxl %s: %d sheets, %d rows; waste and day of %d pours equal to the plain table\n",
            packageVersion("readxl"), length(sheets), rows, nrow(ours)))
