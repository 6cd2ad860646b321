package page

type measuring struct{}
