package store

import (
	"context"
	"encoding/json"
	"fmt"

	"emberquilt/habitat"
)

// Draft gives the user's edits of a plan that were neither kept nor discarded, nil
// where there are none, and how many times they were written.
func (tx *Tx) Draft() (d *habitat.EditedPlan, serial int64, err error) {
	err = tx.each("SELECT serial, coalesce(body, '') FROM draft", nil, func(scan scanner) error {
		var body string
		if err := scan(&serial, &body); err != nil || body == "" {
			return err
		}
		d = new(habitat.EditedPlan)
		if err := json.Unmarshal([]byte(body), d); err != nil {
			return fmt.Errorf("draft: %w", err)
		}
		if err := d.Validate(); err != nil {
			return fmt.Errorf("draft: %w", err)
		}
		return nil
	})
	return d, serial, err
}

// PutDraft keeps edits in place of those before; nil forgets them. It is part of
// no change: the journal does not name it.
func (tx *Tx) PutDraft(d *habitat.EditedPlan) error {
	if tx.isView {
		return errView
	}
	var body any
	if d != nil {
		if err := d.Validate(); err != nil {
			return fmt.Errorf("draft: %w", err)
		}
		body = encodeJSON(d)
	}
	statement, err := tx.prepare("INSERT INTO draft (id, serial, body) VALUES (1, 1, ?1) ON CONFLICT (id) DO UPDATE SET serial = serial + 1, body = ?1")
	if err == nil {
		_, err = statement.ExecContext(tx.ctx, body)
	}
	return tx.ended(err)
}

// Draft gives the user's edits of a plan that were neither kept nor discarded, nil
// where there are none, and how many times they were written.
func (s *Store) Draft(ctx context.Context) (d *habitat.EditedPlan, serial int64, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		d, serial, err = tx.Draft()
		return err
	})
	return d, serial, err
}

// UpdateDraft lets do change the edits of a plan in one transaction, and nothing
// else: no change is made. Where do gives an error, they stay as they were.
func (s *Store) UpdateDraft(ctx context.Context, do func(tx *Tx) error) error {
	return s.run(ctx, nil, do)
}
