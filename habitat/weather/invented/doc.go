// Package invented makes hourly weather that nobody measured, for the demo and
// for benchmarks.
//
// Record gives years of hours with the ways of the south-central plains: warm
// wet springs, hot summers, dry mild winters with cold fronts that turn the wind
// from south to north, a daily course of temperature and humidity, wind that
// freshens by day, and rain that comes with fronts and with summer storms. The
// same seed gives the same record on every machine. Write prints it as plain
// CSV, whose header says that it is invented.
//
// It is plausible at a glance and nothing more; no figure in it was fitted to a
// station.
package invented
