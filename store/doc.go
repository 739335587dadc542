// Package store keeps one property in one SQLite file: its settings, units with
// their shapes, pairs, locks, burn records, plans, and the prescriptions,
// weather records, firings, contacts, tasks and contracts that go with them.
//
// Nothing is overwritten. A change of a value writes a new version of it, and
// every version names the Change, with time and reason, that wrote it; the
// database itself refuses to alter or delete a version. Each Change is sealed
// by a checksum over its rows and the change before it, of which Stamp is the
// short form that papers print and which Verify computes anew.
//
// One command is one transaction: Update gives a Tx, whose methods put, remove
// and add values, and either all of them are in the file when it returns nil or
// none is. Putting a value that is there already writes nothing, and an Update
// that wrote nothing leaves no Change. View gives a Tx to read with; the
// methods of Store that read are one View each. Snapshot is everything that is
// current, read at one moment.
//
// Values that come in have passed Validate. Errors about a file that is not
// ours, too new, read-only, damaged or in use are *source.Error values that
// name the file, and errors.Is finds ErrNotProperty, ErrNewerSchema and so on
// in them. Clock times come from the caller.
package store
