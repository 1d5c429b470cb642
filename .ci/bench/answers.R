# What a person would write in R for a log: law of walls, lives, waste, five
# charts and a workbook. Rscript answers.R LOG OUT; LOG holds CSV files or workbooks.
suppressPackageStartupMessages({
  library(data.table); library(readxl); library(lme4); library(survival); library(ggplot2); library(openxlsx)
})
where <- commandArgs(TRUE)
log <- where[1]; out <- where[2]
read <- function(table, select = NULL) rbindlist(lapply(list.files(log, paste0("^", table, ".*\\.(csv|xlsx)$"), full.names = TRUE), function(file) {
  if (endsWith(file, ".csv")) return(fread(file, na.strings = "", select = select))
  sheet <- as.data.table(suppressWarnings(read_excel(file, guess_max = 10000)))
  if (is.null(select)) sheet else sheet[, ..select]
}))
number <- function(x) suppressWarnings(as.numeric(x)) # slips of the pen become NA

casts <- read("casts", select = c("Mold", "Slip batch", "Dwell (min)", "Wall (mm)"))
setnames(casts, c("mold", "slip", "dwell", "wall"))
molds <- read("molds"); slips <- read("slips"); pours <- read("pours")
casts[, `:=`(mold = toupper(mold), dwell = number(dwell), wall = number(wall))]
casts[, age := seq_len(.N) - 1L, by = mold] # the log is in the order of casting
made <- casts[, .(age = .N), by = mold]

# Walls: casts with a believable wall and dwell.
casts[molds, on = .(mold = Mold), `:=`(form = i.Form, kind = i.Kind)]
casts[slips, on = .(slip = Slip), `:=`(sg = `i.Specific gravity`, temp = `i.Temperature (°C)`)]
used <- casts[wall >= 0.5 & wall <= 30 & dwell >= 1 & dwell <= 720 & !is.na(form) & !is.na(sg)]
used[, `:=`(y = log(wall), t = log(dwell), age100 = age / 100, form = factor(form), kind = factor(kind),
            sg = sg - mean(sg), temp = temp - mean(temp))]
rough <- used[, .(middle = median(y - t / 2)), by = form]
used[rough, on = "form", off := y - t / 2 - i.middle]
used <- used[abs(off) < 6 * mad(off)] # gross typing errors
model <- lmer(y ~ 0 + form + t + kind:age100 + sg + temp + (1 + age100 | mold), data = used,
              control = lmerControl(calc.derivs = FALSE))
effects <- coef(summary(model))
used[, fitted := exp(fitted(model))]

# Lives: an end by wear or breakage is an end; slow molds and those in use are censored.
lives <- merge(molds, made, by.x = "Mold", by.y = "mold")
lives[, ended := !is.na(`End reason`) & !(`End reason` %in% c("slow", "other"))]
lives[, exit := ifelse(ended, age, age + 0.5)]
weibull <- rbindlist(lapply(split(lives, by = "Kind"), function(k) {
  if (sum(k$ended) < 3) return(NULL)
  fit <- survreg(Surv(exit, ended) ~ 1, data = k, dist = "weibull")
  data.table(Kind = k$Kind[1], shape = 1 / fit$scale, scale = exp(coef(fit)[[1]]), ended = sum(k$ended), molds = nrow(k))
}))

# Waste: what was weighed wet, as dry plaster; a failed pour is lost whole.
setnames(pours, c("Plaster (kg)", "Water (kg)", "Left over (kg)", "Spilled (kg)", "Trimmed off (kg)"), c("plaster", "water", "leftover", "spilled", "trimmed"))
zero <- function(x) fifelse(is.na(x), 0, x)
pours[, dry := 1 / (1 + water / plaster)]
pours[, waste := fifelse(Outcome == "good", dry * (zero(leftover) + zero(spilled) + zero(trimmed)), plaster)]
waste <- pours[, .(pours = .N, plaster_kg = sum(plaster), waste_kg = sum(waste), share = sum(waste) / sum(plaster)), by = .(Class, Outcome)][order(Class, Outcome)]

# Charts.
some <- used[if (.N > 20000) sample(.N, 20000) else seq_len(.N)]
curve <- rbindlist(lapply(seq_len(nrow(weibull)), function(i) data.table(
  kind = weibull$Kind[i], age = 0:300, alive = pweibull(0:300, weibull$shape[i], weibull$scale[i], lower.tail = FALSE))))
seen <- lives[, { s <- survfit(Surv(exit, ended) ~ 1); .(age = s$time, alive = s$surv) }, by = .(kind = Kind)]
rate <- used[, .(k = mean(wall^2 / dwell)), by = .(kind, age = 5 * (age %/% 5))]
charts <- list(
  wall_against_dwell = ggplot(some, aes(dwell, wall)) + geom_point(alpha = 0.2, size = 0.5) + geom_smooth(method = "lm", formula = y ~ log(x)) + facet_wrap(~kind) + labs(x = "Dwell (min)", y = "Wall (mm)"),
  measured_against_fitted = ggplot(some, aes(fitted, wall)) + geom_point(alpha = 0.2, size = 0.5) + geom_abline() + labs(x = "Fitted (mm)", y = "Measured (mm)"),
  rate_against_age = ggplot(rate, aes(age, k, colour = kind)) + geom_line() + labs(x = "Mold age (casts)", y = "Casting rate (mm²/min)"),
  lives = ggplot(seen, aes(age, alive, colour = kind)) + geom_step() + (if (nrow(curve) > 0) geom_line(data = curve, linetype = 2)) + labs(x = "Mold age (casts)", y = "Share still in use"),
  waste = ggplot(waste, aes(Class, waste_kg, fill = Outcome)) + geom_col() + labs(x = NULL, y = "Waste (kg)"))
for (name in names(charts)) ggsave(file.path(out, paste0(name, ".png")), charts[[name]], width = 7, height = 5, dpi = 110)

answers <- rbind(
  data.table(name = "exponent", value = effects["t", 1]),
  data.table(name = paste("wear", levels(used$kind)), value = -effects[paste0("kind", levels(used$kind), ":age100"), 1] / 100),
  if (nrow(weibull) > 0) data.table(name = c(paste("shape", weibull$Kind), paste("scale", weibull$Kind)), value = c(weibull$shape, weibull$scale)),
  data.table(name = "waste_kg", value = sum(pours$waste)),
  data.table(name = "casts fitted", value = nrow(used)))
fwrite(answers, file.path(out, "answers.csv"))

# Workbook.
modes <- as.data.table(ranef(model)$mold, keep.rownames = "mold")
setnames(modes, c("mold", "level", "wear_per_100"))
book <- createWorkbook()
if (nrow(weibull) == 0) weibull <- data.table(Kind = "fewer than 3 molds of each kind have ended")
sheets <- list(`Wall fit` = data.table(term = rownames(effects), effects), Lives = weibull, Waste = waste, Molds = modes[made, on = "mold", nomatch = NULL])
for (name in names(sheets)) { addWorksheet(book, name); writeDataTable(book, name, sheets[[name]]) }
addWorksheet(book, "Charts")
for (i in seq_along(charts)) insertImage(book, "Charts", file.path(out, paste0(names(charts)[i], ".png")), startRow = 1 + 26 * (i - 1), width = 7, height = 5)
saveWorkbook(book, file.path(out, "report.xlsx"), overwrite = TRUE)
