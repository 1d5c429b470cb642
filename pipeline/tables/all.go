package tables

// Outputs lists the declarations of all result tables, in the order of the
// page of columns.
func Outputs() []Table {
	return []Table{
		Of[WallFit](), Of[MoldState](), Of[DwellGuide](), Of[CastUsed](),
		Of[RemainingCasts](), Of[LifeFit](), Of[LifeCause](), Of[Watch](), Of[Hindcast](),
		Of[PourWaste](), Of[WasteBy](), Of[PourBalance](), Of[Mix](), Of[MoldMass](), Of[MoldCost](), Of[CutDepth](),
		Of[Overmix](), Of[OvermixFor](), Of[OvermixReplay](), Of[Budget](), Of[BudgetWhatIf](),
		Of[PlanOrder](), Of[PlanDay](), Of[PlanMix](), Of[PlanWhatIf](), Of[PlanAssumed](),
		Of[Problem](),
	}
}
