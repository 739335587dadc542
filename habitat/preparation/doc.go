// Package preparation says what must be done before a unit burns, and by when.
//
// Tasks (habitat.Task) come from the starter list or from the user's own. For
// one burn, Schedule picks those that belong to it and counts their days back
// from the first day of the burn window; Sort puts what is late first. OnSite
// lists what a burn needs on the ground, sized by acres and hours, to be edited
// by whoever is responsible.
//
// Days are planning aids. Permits, notices and closures have their own law in
// every place.
package preparation
