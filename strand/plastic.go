package strand

import "context"

func addPlastic(ctx context.Context, pr *Print, lim limits, s Settings) error { return ctx.Err() }
