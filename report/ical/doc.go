// Package ical writes an agenda as an iCalendar file (RFC 5545).
//
// Events are whole days with stable UIDs, so that importing a file again
// updates a calendar; DTSTAMP and SEQUENCE are those of the event's last change, and an
// event that no longer holds is CANCELLED. Lines end in CR
// LF and are folded at 75 octets; a user's text can start no line. It is the
// only package that imports golang-ical.
package ical
