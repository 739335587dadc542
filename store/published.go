package store

import (
	"context"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// publishedAt is the form of the instants of published events.
const publishedAt = "2006-01-02T15:04:05Z"

// Published gives the events that calendar files have said, in order of unit, year,
// kind and name.
func (tx *Tx) Published() (all []habitat.PublishedEvent, err error) {
	err = tx.each(
		"SELECT unit, program_year, kind, name, first_on, last_on, summary, sequence, at, digest, canceled FROM published_event ORDER BY unit, program_year, kind, name",
		nil,
		func(scan scanner) error {
			var e habitat.PublishedEvent
			var first, last, at string
			if err := scan(&e.Unit, &e.Year, &e.Kind, &e.Name, &first, &last, &e.Summary, &e.Sequence, &at, &e.Digest, &e.Canceled); err != nil {
				return err
			}
			var err error
			if e.First, err = date.ParseDay(first); err != nil {
				return err
			}
			if e.Last, err = date.ParseDay(last); err != nil {
				return err
			}
			e.At, err = time.Parse(publishedAt, at)
			all = append(all, e)
			return err
		},
	)
	return all, err
}

// PutPublished keeps what a calendar file says of an event in place of what was kept
// before. It is part of no change: the journal does not name it.
func (tx *Tx) PutPublished(e habitat.PublishedEvent) error {
	if tx.isView {
		return errView
	}
	if err := e.Validate(); err != nil {
		return err
	}
	statement, err := tx.prepare(`INSERT INTO published_event (unit, program_year, kind, name, first_on, last_on, summary, sequence, at, digest, canceled)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET first_on = excluded.first_on, last_on = excluded.last_on,
		summary = excluded.summary, sequence = excluded.sequence, at = excluded.at, digest = excluded.digest, canceled = excluded.canceled`)
	if err == nil {
		_, err = statement.ExecContext(
			tx.ctx,
			e.Unit,
			int(e.Year),
			e.Kind,
			e.Name,
			e.First.String(),
			e.Last.String(),
			e.Summary,
			e.Sequence,
			e.At.UTC().Format(publishedAt),
			e.Digest,
			e.Canceled,
		)
	}
	return tx.ended(err)
}

// Published gives the events that calendar files have said.
func (s *Store) Published(ctx context.Context) (all []habitat.PublishedEvent, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		all, err = tx.Published()
		return err
	})
	return all, err
}

// Publish lets do read what calendar files have said and keep what the next one says,
// in one transaction and nothing else: no change is made.
func (s *Store) Publish(ctx context.Context, do func(tx *Tx) error) error {
	return s.run(ctx, nil, do)
}
