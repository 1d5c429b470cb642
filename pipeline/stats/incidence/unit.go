package incidence

import (
	"fmt"
	"math"
)

// Unit is what was seen of one unit: it was watched from age Entry to age Exit.
type Unit struct {
	Entry float64 // age at which watching began, 0 or more
	Exit  float64 // age at which watching ended, above Entry, finite
	Cause int     // what ended it at Exit, 1 or more; 0 if it was still alive
}

func (u *Unit) check(causes int) error {
	switch {
	case math.IsNaN(u.Entry) || math.IsNaN(u.Exit):
		return fmt.Errorf("an age is not a number")
	case u.Entry < 0:
		return fmt.Errorf("it is watched from age %g, below 0", u.Entry)
	case math.IsInf(u.Exit, 0):
		return fmt.Errorf("the age at its exit is infinite")
	case u.Exit <= u.Entry:
		return fmt.Errorf("it leaves at age %g, not after the age %g at which it came into view", u.Exit, u.Entry)
	case u.Cause < 0 || u.Cause > causes:
		panic(fmt.Sprintf("incidence: cause %d of %d", u.Cause, causes))
	}
	return nil
}
