package store

import (
	"fmt"
	"strconv"

	"emberquilt/habitat"
)

// putScenarios keeps what other burn days would cost a plan, as earlier versions of the
// program did; this one rehearses, and only reads and shows them.
func (tx *Tx) putScenarios(plan int, all []habitat.BurnDayScenario) error {
	for i := range all {
		if err := all[i].Validate(); err != nil {
			return fmt.Errorf("burn-day scenario %d: %w", i+1, err)
		}
	}
	return tx.putJSON(scenarios, strconv.Itoa(plan), all)
}
