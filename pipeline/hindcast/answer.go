package hindcast

import "moldwright/pipeline/tables"

// Answer is how earlier forecasts came true.
type Answer struct {
	WhyNot  string // why nothing could be replayed, "" where something was
	Origins []tables.Date
	Rows    []tables.Hindcast // walls first, by level
	Walls   []Wall
	Lives   []Life
	Notes   []string

	WallFactor float64 // what today's 90 % intervals of walls and dwells are widened by; 1: not
	LifeFactor float64 // likewise today's 80 % intervals of remaining casts, on the normal scale
}

// Wall is one forecast of a wall, in mm, and what came.
type Wall struct {
	Mold         string
	Origin       tables.Date
	Ahead        int // casts between the origin and this one
	ForecastMM   float64
	Lower, Upper float64 // 90 % interval
	MeasuredMM   float64
	LastMM       float64 // last wall before the origin: the rival's forecast; absent where none

	held [3]bool // by index of levels
	low  float64 // 10 % point
	high float64 // 90 % point
}

// Life is one forecast of remaining casts and what came.
type Life struct {
	Mold          string
	Origin        tables.Date
	AgeCasts      int
	P10, P50, P90 float64
	Came          float64 // casts made after the origin
	Ended         bool    // whether the mold has ended since: else it made Came casts and goes on
	Rival         float64 // its kind's mean life at the origin less its age

	u float64 // place of what came in the forecast, in [0,1]; of one still in use: it will be above
}
