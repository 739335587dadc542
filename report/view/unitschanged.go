package view

// UnitsChanged says what became of units, and what the user should look at.
type UnitsChanged struct {
	Done string `json:"done"`
	// Notes says what followed and what is left to do, a sentence each.
	Notes []string `json:"notes"`
}
