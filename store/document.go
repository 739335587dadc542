package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"emberquilt/habitat"
)

// DocumentKind names what a document is.
type DocumentKind string

// The kinds of documents.
const (
	// Prescription is a prescription file.
	Prescription DocumentKind = "prescription"
	// Weather is the summary of a weather record, with its hours beside it.
	Weather DocumentKind = "weather"

	place        DocumentKind = "place"
	standing     DocumentKind = "standing break"
	task         DocumentKind = "task"
	taskDone     DocumentKind = "task done"
	contract     DocumentKind = "contract"
	firing       DocumentKind = "firing"
	everyFiring  DocumentKind = "firing of every unit"
	contacts     DocumentKind = "contacts"
	stationInUse DocumentKind = "station in use"
	scenarios    DocumentKind = "burn day scenarios"
)

// Document is a named JSON text whose form the package that reads it knows.
type Document struct {
	Kind DocumentKind
	Name string
	// Body is valid JSON and is kept byte for byte.
	Body json.RawMessage
	// Record holds what is too long for Body, such as the hours of a weather
	// record; nil where there is nothing. Snapshot leaves it out: see Record.
	Record []byte
}

var documents = define(table[Document]{
	name: "document_version", from: "document", keys: []string{"kind", "name"}, columns: []string{"body", "record"}, order: "v.kind, v.name",
	key:    func(d *Document) []any { return []any{string(d.Kind), d.Name} },
	encode: func(d *Document) []any { return []any{string(d.Body), optionalBytes(d.Record)} },
	decode: func(scan scanner) (d Document, err error) {
		var body string
		err = scan(&d.Kind, &d.Name, &body, &d.Record)
		d.Body = json.RawMessage(body)
		return d, err
	},
})

func optionalBytes(b []byte) any {
	if b == nil {
		return nil
	}
	return b
}

// headsOnly is documents without their records.
var headsOnly = define(table[Document]{
	name: documents.name, from: documents.from, keys: documents.keys, columns: []string{"body"}, order: documents.order,
	decode: func(scan scanner) (d Document, err error) {
		var body string
		err = scan(&d.Kind, &d.Name, &body)
		d.Body = json.RawMessage(body)
		return d, err
	},
})

// PutDocument adds a document or writes a new version of it.
func (tx *Tx) PutDocument(d Document) error {
	if !json.Valid(d.Body) {
		return fmt.Errorf("%s %q: not valid JSON", d.Kind, d.Name)
	}
	return documents.put(tx, d)
}

// RemoveDocument takes a document away. The error is ErrUnknown where there is
// none.
func (tx *Tx) RemoveDocument(kind DocumentKind, name string) error {
	there, err := documents.remove(tx, string(kind), name)
	if err == nil && !there {
		err = fmt.Errorf("%s %q: %w", kind, name, ErrUnknown)
	}
	return err
}

// Document gives the current document of a name, with its record. The error is
// ErrUnknown where there is none.
func (tx *Tx) Document(kind DocumentKind, name string) (Document, error) {
	last, err := documents.last(tx, []any{string(kind), name})
	if err == nil && (last.Number == 0 || last.Removed) {
		err = fmt.Errorf("%s %q: %w", kind, name, ErrUnknown)
	}
	return last.Value, err
}

// Document gives the current document of a name, with its record. The error is
// ErrUnknown where there is none.
func (s *Store) Document(ctx context.Context, kind DocumentKind, name string) (d Document, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		d, err = tx.Document(kind, name)
		return err
	})
	return d, err
}

// PutTask adds a preparation task or changes it; tasks are known by their name.
func (tx *Tx) PutTask(t habitat.Task) error { return tx.putJSON(task, t.Name, t) }

// RemoveTask takes a preparation task away. The error is ErrUnknown where there
// is none.
func (tx *Tx) RemoveTask(name string) error { return tx.RemoveDocument(task, name) }

// PutTaskDone notes that a task was done for a unit's burn of a program year.
func (tx *Tx) PutTaskDone(d habitat.TaskDone) error { return tx.putJSON(taskDone, doneName(d), d) }

// RemoveTaskDone takes back that a task was done. The error is ErrUnknown where
// it was not.
func (tx *Tx) RemoveTaskDone(d habitat.TaskDone) error {
	return tx.RemoveDocument(taskDone, doneName(d))
}

// doneName tells tasks done apart. A list in JSON cannot be taken for another,
// whatever stands in the names.
func doneName(d habitat.TaskDone) string {
	return encodeJSON([]any{int(d.Year), d.Unit, d.Task})
}

// PutContract adds a contract or changes it; contracts are known by their name.
// Lines without a number get the next one.
func (tx *Tx) PutContract(c habitat.Contract) error {
	c.Items = slices.Clone(c.Items)
	c.NumberLines()
	return tx.putJSON(contract, c.Name, c)
}

func (tx *Tx) putJSON(kind DocumentKind, name string, v any) error {
	return tx.PutDocument(Document{Kind: kind, Name: name, Body: json.RawMessage(encodeJSON(v))})
}
