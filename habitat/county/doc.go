// Package county knows the counties of the United States: where their centers lie
// and which clock they keep, so that a new property can be placed by a name.
//
// The centers are derived from the cartographic boundaries of the US Census Bureau,
// which are in the public domain, as the npm package us-atlas 3.0.1 carries them
// (edition of 2017); .ci/node/counties.mjs makes the table. A center is a point of
// planning: it places the sun and the clock, not a fence.
//
// Time zones follow states, with the counties that keep another clock listed after
// 49 CFR part 71; counties that the limit between two zones cuts are marked.
package county
