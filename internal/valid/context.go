package valid

import (
	"context"
	"fmt"
)

// Ended returns an error that wraps ctx.Err() once the context is done; what says which
// work, such as "ballast: plan". A nil context never ends.
func Ended(ctx context.Context, what string) error {
	if ctx == nil {
		return nil
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}
