# Workbooks and text files as R writes them: openxlsx, write.csv2, write.table.
# Run in this folder: Rscript workbooks.R

library(openxlsx)

root <- file.path("..", "r")
dir.create(root, showWarnings = FALSE)

# Invented casts in turn of the molds, as in corpus.py.
casts <- function(n, molds, start = as.Date("2025-03-03"), every = 2, first = 0) {
  i <- seq_len(n) - 1
  age <- i %/% length(molds)
  dwell <- 18 + (i * 7 + first) %% 9
  data.frame(
    cast = as.character(100 + first + i), date = start + every * age, mold = molds[i %% length(molds) + 1],
    dwell = dwell, wall = round(sqrt(1.35 * dwell) * (1 - 0.004 * (age + first)), 1), stringsAsFactors = FALSE
  )
}

write_want <- function(x, name, what) {
  for (k in names(x)) if (inherits(x[[k]], "Date")) x[[k]] <- format(x[[k]], "%Y-%m-%d")
  for (k in names(x)) if (is.numeric(x[[k]])) x[[k]] <- ifelse(is.na(x[[k]]), NA, sapply(x[[k]], format, digits = 15, scientific = FALSE, trim = TRUE))
  write.table(x, file.path(root, paste0(name, ".", what, ".want.csv")), sep = ",", quote = which(sapply(x, function(v) any(grepl("[,\"]", v)))),
              qmethod = "double", row.names = FALSE, na = "", fileEncoding = "UTF-8")
}

problems <- function(name, sheet = character(), cell = character(), code = character(), severity = character()) {
  write_want(data.frame(sheet = sheet, cell = cell, code = code, severity = severity), name, "problems")
}

sheets <- function(name, sheet, table, used, aside = 0, read = NA, hidden = "no") {
  write_want(data.frame(sheet = sheet, table = table, hidden = hidden, used = used, aside = aside, read = read), name, "sheets")
}

save <- function(wb, name) saveWorkbook(wb, file.path(root, paste0(name, ".xlsx")), overwrite = TRUE)

heads <- c("Cast", "Date", "Mold", "Dwell (min)", "Wall (mm)")
named <- function(x, to = heads) setNames(x, to)
want_casts <- function(name, sheet, row, x, ...) write_want(cbind(sheet = sheet, row = row, x, ...), name, "casts")

# A styled table with a title, a band of merged cells and notes above it.
n <- "titles-and-styles"
x <- casts(15, c("M-01", "M-02", "M-03"))
wb <- createWorkbook()
addWorksheet(wb, "Log")
writeData(wb, "Log", "Casting room, second bench", startRow = 2, startCol = 2)
mergeCells(wb, "Log", cols = 2:6, rows = 2)
writeData(wb, "Log", "wall: mean of three spots", startRow = 3, startCol = 2)
writeData(wb, "Log", named(x), startRow = 5, startCol = 2, headerStyle = createStyle(textDecoration = "bold", border = "bottom"), borders = "rows")
setColWidths(wb, "Log", cols = 2:6, widths = "auto")
save(wb, n)
want_casts(n, "Log", 5 + seq_len(15), x)
problems(n)
sheets(n, "Log", "casts", 15, 0, 18)

# An Excel table object (with filter buttons) beside a second one.
n <- "two-table-objects-side-by-side"
x <- casts(12, c("M-01", "M-02"))
s <- data.frame(slip = paste0("S", 1:4), date = as.Date("2025-02-01") + 14 * (0:3), specific_gravity = c(1.76, 1.74, 1.75, 1.77), temperature = c(19, 20.5, 21, 18.5))
wb <- createWorkbook()
addWorksheet(wb, "Studio")
writeDataTable(wb, "Studio", named(x), startRow = 2, startCol = 1, tableName = "log")
writeDataTable(wb, "Studio", setNames(s, c("Slip", "Mixed on", "Specific gravity", "Temp (°C)")), startRow = 2, startCol = 8, tableName = "batches")
save(wb, n)
want_casts(n, "Studio", 2 + seq_len(12), x)
write_want(cbind(sheet = "Studio", row = 2 + 1:4, s), n, "slips")
problems(n)
sheets(n, "Studio", "*", 16)

# One sheet a mold, the mold in the name alone; one of the sheets hidden.
n <- "sheet-per-mold"
wb <- createWorkbook()
all <- NULL
for (m in c("Mold A", "Mold B", "Mold C")) {
  x <- casts(7, m, every = 4)
  addWorksheet(wb, m, visible = m != "Mold C")
  writeData(wb, m, named(x[c("date", "dwell", "wall")], heads[c(2, 4, 5)]))
  all <- rbind(all, cbind(sheet = m, row = 1 + seq_len(7), x[c("date", "mold", "dwell", "wall")]))
}
save(wb, n)
write_want(all, n, "casts")
problems(n, c("Mold A", "Mold B", "Mold C", "Mold C"), "", c(rep("name-from-sheet", 3), "hidden-sheet"), "note")
sheets(n, c("Mold A", "Mold B", "Mold C"), "casts", 7, 0, 8, c("no", "no", "yes"))

# Wide, by reshape: one row a mold, columns date.1, dwell.1, wall.1, date.2 …
n <- "reshaped-to-wide"
x <- do.call(rbind, lapply(1:4, function(m) cbind(casts(5 - m %% 2, sprintf("M-%02d", m), every = 3, first = m), k = seq_len(5 - m %% 2))))
w <- reshape(x[c("mold", "k", "date", "dwell", "wall")], idvar = "mold", timevar = "k", direction = "wide")
wb <- createWorkbook()
addWorksheet(wb, "Wide")
writeData(wb, "Wide", w)
save(wb, n)
row <- 1 + match(x$mold, w$mold)
letter <- int2col(4 + 3 * (x$k - 1))
want_casts(n, "Wide", row, cbind(cast = "*", x[c("date", "mold", "dwell", "wall")]), cell_wall = paste0(letter, row))
problems(n, "Wide", "", "wide-layout", "note")
sheets(n, "Wide", "casts", nrow(x))

# A log with totals as formulas that R does not calculate, by month, and a grand total.
n <- "totals-not-calculated"
x <- data.frame(pour = paste0("P", 1:8), date = as.Date("2025-01-10") + 9 * (0:7), plaster = 3 + (0:7) / 5, water = 2.1 + (0:7) / 8)
wb <- createWorkbook()
addWorksheet(wb, "Pours")
writeData(wb, "Pours", setNames(x[1:4, ], c("Pour", "Date", "Plaster (kg)", "Water (kg)")))
writeData(wb, "Pours", "Subtotal", startRow = 6)
writeFormula(wb, "Pours", c("SUM(C2:C5)"), startCol = 3, startRow = 6)
writeFormula(wb, "Pours", c("SUM(D2:D5)"), startCol = 4, startRow = 6)
writeData(wb, "Pours", x[5:8, ], startRow = 7, colNames = FALSE)
writeData(wb, "Pours", "Total", startRow = 11)
writeFormula(wb, "Pours", c("C6+SUM(C7:C10)"), startCol = 3, startRow = 11)
writeFormula(wb, "Pours", c("D6+SUM(D7:D10)"), startCol = 4, startRow = 11)
save(wb, n)
write_want(cbind(sheet = "Pours", row = c(2:5, 7:10), x), n, "pours")
problems(n, "Pours", "", "total-row", "note")
sheets(n, "Pours", "pours", 8, 0, 11)

# Units in the header, temperatures in °F, humidity as a percentage, masses in pounds.
n <- "imperial-headers"
x <- casts(10, c("M-01", "M-02"))
f <- 61 + 0:9
lb <- 9 + (0:9) / 8
inch <- round(x$wall / 25.4 * 64) / 64
wb <- createWorkbook()
addWorksheet(wb, "Casts")
shown <- setNames(cbind(x[c("date", "mold", "dwell")], inch, f, 0.4 + 0:9 / 100, lb), c("Date", "Mold", "Dwell (min)", "Wall (in)", "Room temp (°F)", "Humidity", "Mold weight (lb)"))
class(shown$Humidity) <- "percentage"
writeData(wb, "Casts", shown)
save(wb, n)
want_casts(n, "Casts", 1 + seq_len(10), data.frame(x[c("date", "mold", "dwell")], wall = inch * 25.4, room_temperature = (f - 32) * 5 / 9, room_humidity = 0.4 + 0:9 / 100, mold_mass = lb * 0.45359237))
problems(n)
sheets(n, "Casts", "casts", 10, 0, 11)

# Hidden and filtered rows, a repeated header, numbers as text, NA as people see it.
n <- "filtered-and-as-text"
x <- casts(14, c("M-01", "M-02"))
wall <- format(x$wall, nsmall = 1)
wall[4] <- "n/a"
wb <- createWorkbook()
addWorksheet(wb, "Casts")
shown <- named(data.frame(x[c("cast", "date", "mold")], as.character(x$dwell), wall))
writeData(wb, "Casts", shown[1:7, ])
writeData(wb, "Casts", shown[8:14, ], startRow = 9)
addFilter(wb, "Casts", row = 1, cols = 1:5)
setRowHeights(wb, "Casts", rows = c(4, 12), heights = 0)
save(wb, n)
x$wall[4] <- NA
want_casts(n, "Casts", c(2:8, 10:16), x)
problems(n, "Casts", "", "header-repeated", "note")
sheets(n, "Casts", "casts", 14, 0, 16)

# Turned on its side, by t(): labels down, a column a cast, the mold in a line above.
n <- "turned-by-t"
x <- casts(7, "M-07", every = 3)
wb <- createWorkbook()
addWorksheet(wb, "Sheet 1")
writeData(wb, "Sheet 1", "Mold: M-07")
writeData(wb, "Sheet 1", c("Cast", "Date", "Dwell (min)", "Wall (mm)"), startRow = 3)
for (k in 1:7) {
  writeData(wb, "Sheet 1", k, startRow = 3, startCol = 1 + k)
  writeData(wb, "Sheet 1", x$date[k], startRow = 4, startCol = 1 + k)
  writeData(wb, "Sheet 1", x$dwell[k], startRow = 5, startCol = 1 + k)
  writeData(wb, "Sheet 1", x$wall[k], startRow = 6, startCol = 1 + k)
}
save(wb, n)
want_casts(n, "Sheet 1", NA, cbind(cast = "*", x[c("date", "mold", "dwell", "wall")]), cell_date = paste0(int2col(2:8), 4), cell_wall = paste0(int2col(2:8), 6))
problems(n, "Sheet 1", "", c("wide-layout", "name-from-sheet"), "note")
sheets(n, "Sheet 1", "casts", 7)

# Times: R's own date-times with a time of day, and lengths of time as hms text.
n <- "date-times"
x <- casts(8, c("M-01", "M-02"))
minutes <- 540 + 35 * (0:7)
at <- as.POSIXct(paste(x$date, sprintf("%02d:%02d", minutes %/% 60, minutes %% 60)), tz = "UTC")
wb <- createWorkbook()
options(openxlsx.datetimeFormat = "yyyy-mm-dd hh:mm")
addWorksheet(wb, "Casts")
writeData(wb, "Casts", data.frame(Date = at, Mold = x$mold, Dwell = sprintf("%02d:%02d:00", 0, x$dwell), "Wall (mm)" = x$wall, check.names = FALSE))
save(wb, n)
want_casts(n, "Casts", 1 + seq_len(8), cbind(x["date"], time = minutes, x[c("mold", "dwell", "wall")]))
problems(n, "Casts", "", "time-from-date", "note")
sheets(n, "Casts", "casts", 8, 0, 9)

# Spellings and ditto marks in one log.
n <- "ditto-and-spellings"
x <- casts(12, c("M-07", "M-08"))
mold <- x$mold
mold[c(3, 7)] <- c("m7", "Mold 7")
mold[c(4, 10)] <- c("M 08", "M-8")
date <- format(x$date, "%Y-%m-%d")
date[seq(2, 12, 2)] <- "\""
wb <- createWorkbook()
addWorksheet(wb, "Casts")
writeData(wb, "Casts", named(data.frame(x$cast, date, mold, x$dwell, x$wall)))
save(wb, n)
want_casts(n, "Casts", 1 + seq_len(12), x)
problems(n, "Casts", "", c("ditto-read", "spelling-joined"), "note")
sheets(n, "Casts", "casts", 12, 0, 13)

# --- text ---

text <- function(n, ext, x, how, file = file.path(root, paste0(n, ".", ext)), codes = character()) {
  how(named(x), file)
  want_casts(n, "", 1 + seq_len(nrow(x)), x)
  problems(n, rep("", length(codes)), rep("", length(codes)), codes, rep("note", length(codes)))
  sheets(n, "", "casts", nrow(x), 0, nrow(x) + 1)
}

x <- casts(12, c("Becher ö1", "Becher ö2"))
text("latin-1-by-write-csv2", "csv", x, function(x, f) write.csv2(x, f, row.names = FALSE, fileEncoding = "latin1"), codes = "encoding-inferred")
x <- casts(10, c("M-01", "M-02"))
text("utf-16-without-mark", "csv", x, function(x, f) write.csv(x, f, row.names = FALSE, fileEncoding = "UTF-16LE"), codes = "encoding-inferred")
text("tabs-without-quotes", "tsv", x, function(x, f) write.table(x, f, sep = "\t", quote = FALSE, row.names = FALSE, fileEncoding = "UTF-8"))
