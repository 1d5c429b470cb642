package workbook

// Names of the sheets. Advice and links name them too.
const (
	summarySheet   = "Summary"
	moldsSheet     = "Molds"
	dwellSheet     = "Dwell guide"
	remainingSheet = "Remaining casts"
	planSheet      = "Run plan"
	daySheet       = "Day sheet"
	runMixSheet    = "Mix for the run"
	watchSheet     = "Watch list"
	hindcastSheet  = "Earlier forecasts"
	wallSheet      = "Wall law"
	poursSheet     = "Plaster pours"
	balanceSheet   = "Plaster balance"
	wasteSheet     = "Waste"
	moldCostSheet  = "Mold cost"
	mixSheet       = "Mix"
	massSheet      = "Mold weights"
	overmixSheet   = "Over-mix"
	cutsSheet      = "Cut depth"
	budgetSheet    = "Budget"
	livesSheet     = "Lives"
	castsSheet     = "Casts used"
	filesSheet     = "Files read"
	problemsSheet  = "Problems"
	methodSheet    = "Method"
)

// purposes say in a few words which question a sheet answers, in the order of the sheets.
func purposes() []struct{ sheet, question string } {
	return []struct{ sheet, question string }{
		{moldsSheet, "What is each mold today?"},
		{dwellSheet, "How long do I leave the slip in? To print and tape to the wall."},
		{remainingSheet, "How many casts does each mold still have?"},
		{planSheet, "Will the orders come in time, and what do I pour for them?"},
		{daySheet, "What do I cast on which day, with which dwell? To print and fill in by hand."},
		{runMixSheet, "What do I mix for the new molds, and by when? To print for the plaster bench."},
		{watchSheet, "Which molds are wearing out early?"},
		{hindcastSheet, "Did earlier forecasts come true?"},
		{wallSheet, "How does the wall depend on dwell and mold age, and how sure is that?"},
		{poursSheet, "Where did the plaster of each pour go?"},
		{balanceSheet, "What became of every part of a pour, weighed or not?"},
		{wasteSheet, "How much plaster is lost, and why?"},
		{moldCostSheet, "What does a good cast cost in plaster, by kind of mold?"},
		{mixSheet, "How much plaster and water do I weigh for each mold?"},
		{massSheet, "Is a mold dry? Weigh it."},
		{overmixSheet, "How much more than the gaps call for should I mix?"},
		{cutsSheet, "How deep may I saw a split mold? To print and tape to the saw bench."},
		{budgetSheet, "How much plaster do I order next, and what would save some?"},
		{livesSheet, "How long do molds of a kind live, and what ends them?"},
		{castsSheet, "Which casts does the wall law rest on, and which look odd?"},
		{filesSheet, "What was read from which file?"},
		{problemsSheet, "Which cells could not be used, and how do I mend them?"},
		{methodSheet, "How was all this worked out, from what sources and settings?"},
	}
}
