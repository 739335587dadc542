package ground

// Options say what a file does not say itself.
type Options struct {
	// System names the coordinate system, such as "EPSG:26914"; empty means
	// what the file says, and WGS 84 degrees where it says nothing.
	System string
	// NameField names the attribute that holds the names; empty means a guess
	// among the usual ones.
	NameField string
}
