package app

import (
	"errors"
	"io"

	"context"
	"encoding/json"

	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

// LoadPrescriptions keeps prescriptions, each in place of the one of its name.
func (s *Session) LoadPrescriptions(ctx context.Context, all []*prescription.Prescription) error {
	return s.update(ctx, "load prescriptions", func(tx *store.Tx) error { return PutPrescriptions(tx, all) })
}

// PutPrescriptions keeps prescriptions as a part of a change.
func PutPrescriptions(tx *store.Tx, all []*prescription.Prescription) error {
	for _, p := range all {
		body, err := json.Marshal(p)
		if err != nil {
			return err
		}
		if err := tx.PutDocument(store.Document{Kind: store.Prescription, Name: p.Name, Body: body}); err != nil {
			return err
		}
	}
	return nil
}

// prescriptionNames lists those that are loaded.
func (s *Session) prescriptionNames() []string {
	names := make([]string, len(s.Prescriptions))
	for i := range s.Prescriptions {
		names[i] = s.Prescriptions[i].Name
	}
	return names
}

// PrescriptionHint asks whether a prescription that is loaded was meant by a name that
// is not; empty where none is near.
func (s *Session) PrescriptionHint(name string) string {
	return source.DidYouMean(name, s.prescriptionNames())
}

// LoadedPrescriptions gives those that are loaded.
func (s *Session) LoadedPrescriptions() ([]*prescription.Prescription, error) {
	all := make([]*prescription.Prescription, len(s.Prescriptions))
	for i := range s.Prescriptions {
		var err error
		if all[i], err = s.parsePrescription(&s.Prescriptions[i]); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// parsePrescription reads one that is loaded. It is kept under its own name: units and
// papers find it by either.
func (s *Session) parsePrescription(doc *store.Document) (*prescription.Prescription, error) {
	file := s.Store.Path() + ": prescription " + doc.Name
	p, err := prescription.Parse(file, doc.Body)
	if err == nil && p.Name != doc.Name {
		err = &source.Error{Position: source.Position{File: file, Field: "name"}, Found: source.Quote(p.Name) + " is kept under another name", Accepts: acceptsOwn}
	}
	if err != nil {
		return nil, err
	}
	return p, nil
}

// ReadPrescription reads a prescription that a property can keep: one that a list of
// units can name.
func ReadPrescription(file string, r io.Reader) (*prescription.Prescription, error) {
	p, err := prescription.Read(file, r)
	if err != nil {
		return nil, err
	}
	var fault *habitat.FieldError
	if err := habitat.ValidatePrescriptionName(p.Name); errors.As(err, &fault) {
		return nil, &source.Error{Position: source.Position{File: file, Field: fault.Field}, Found: fault.Found, Accepts: fault.Accepts}
	} else if err != nil {
		return nil, err
	}
	return p, nil
}
