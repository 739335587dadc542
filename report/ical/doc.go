// Package ical writes an agenda as an iCalendar file (RFC 5545).
//
// Events are whole days with stable UIDs, so that importing a file again
// updates a calendar; DTSTAMP and SEQUENCE come from the plan. Lines end in CR
// LF and are folded at 75 octets; a user's text can start no line. It is the
// only package that imports golang-ical.
package ical
