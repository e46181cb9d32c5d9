package store

import "shortfall/ingest/casebook"

// Alone gives the records that an empty database would hold after the import of a batch,
// in the order of Store.Load, as Decide has them; the batch is changed as by Decide.
func Alone(b *casebook.Batch, c Choices) (*casebook.Dataset, error) {
	p, err := Decide(b, &Known{Path: b.File.Name}, c)
	if err != nil {
		return nil, err
	}
	return newDataset(b, p), nil
}
