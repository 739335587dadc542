package habitat

import (
	"fmt"
	"time"

	"emberquilt/habitat/date"
)

// PublishedEvent is an event of a burn as the calendar files last said it, kept so that
// the next file can tell calendars what moved and what no longer holds.
type PublishedEvent struct {
	// Unit, Year, Kind and Name tell the event from every other of the property: its
	// burn, and which of the burn's windows or tasks it is. Unit is a name that the unit
	// bore: calendars know the event by it, so that it stays when the unit is renamed.
	Unit string
	Year date.ProgramYear
	Kind string
	Name string
	// First and Last are its days, Summary its title.
	First, Last date.Day
	Summary     string
	// Sequence counts how often it changed, At is when it last did.
	Sequence int
	At       time.Time
	// Digest is a checksum over all that the event says, of one that no longer holds over
	// what it says of that.
	Digest string
	// Canceled says that it no longer holds.
	Canceled bool
}

// Validate checks what is kept of an event.
func (e *PublishedEvent) Validate() error {
	switch {
	case e.Unit == "" || e.Kind == "":
		return fmt.Errorf("an event of a calendar names no unit or no kind")
	case e.First.IsZero() || e.Last.Before(e.First):
		return fmt.Errorf("the event %q of %s lasts from %s to %s", e.Name, e.Unit, e.First, e.Last)
	case e.Sequence < 0:
		return fmt.Errorf("the event %q of %s has the sequence %d", e.Name, e.Unit, e.Sequence)
	}
	return nil
}
