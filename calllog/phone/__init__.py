"""The chief's page on a phone; the page's own process imports little of it; shell."""
