package ask

import (
	"context"
	"sync"

	"shortfall/audit/parallel"
)

// parts count how much of the questions is answered, each by its share of the time.
type parts struct {
	tell   func(done, all int)
	shares []int
	all    int

	mu  sync.Mutex
	are []float64 // of each question, 0 to 1
}

// Told gives a context in which Answers tells how much is done.
func Told(ctx context.Context, tell func(done, all int)) context.Context {
	return context.WithValue(ctx, toldKey{}, tell)
}

// Between gives a context in which what is told of Answers lies between two hundredths
// of the whole.
func Between(ctx context.Context, from, to int) context.Context {
	tell, _ := ctx.Value(toldKey{}).(func(done, all int))
	if tell == nil {
		return ctx
	}
	return Told(ctx, func(done, all int) { tell(from*all+(to-from)*done, 100*all) })
}

type toldKey struct{}

func newParts(ctx context.Context, qs []Question) *parts {
	p := &parts{are: make([]float64, len(qs))}
	p.tell, _ = ctx.Value(toldKey{}).(func(done, all int))
	for _, q := range qs {
		p.shares = append(p.shares, max(q.Share, 1))
		p.all += max(q.Share, 1)
	}
	return p
}

// of is the context of question i: what it shares out over the processors counts as
// part of it.
func (p *parts) of(ctx context.Context, i int) context.Context {
	return parallel.Told(ctx, func(done, all int) { p.done(i, done, all) })
}

// finest is the number of steps that are told.
const finest = 1000

func (p *parts) done(i, done, all int) {
	if p.tell == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.are[i] = max(p.are[i], float64(done)/float64(all)) // a second round goes back to no less
	sum := 0.0
	for k, part := range p.are {
		sum += part * float64(p.shares[k])
	}
	p.tell(int(finest*sum/float64(p.all)), finest)
}
