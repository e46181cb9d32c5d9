package values

import "shortfall/ingest/memo"

// longestWord is the longest text, in bytes, that is worth knowing again.
const longestWord = 64

// remembered is a reader of single cells that knows again what it has read: the few
// words of a sheet come thousands of times, and each is asked about by several readers.
func remembered[E any](read func(string) (E, error)) func(string) (E, error) {
	by := rememberedBy(func(_ struct{}, s string) (E, error) { return read(s) })
	return func(s string) (E, error) { return by(struct{}{}, s) }
}

// rememberedBy is remembered for readers that are told something besides the text.
func rememberedBy[A comparable, E any](read func(A, string) (E, error)) func(A, string) (E, error) {
	type key struct {
		told A
		text string
	}
	type result struct {
		value E
		err   error
	}
	known := new(memo.Memo[key, result])
	return func(told A, s string) (E, error) {
		if len(s) > longestWord {
			return read(told, s)
		}
		r := known.Get(key{told, s}, func(k key) result {
			v, err := read(k.told, k.text)
			return result{v, err}
		})
		return r.value, r.err
	}
}
