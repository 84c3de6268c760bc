"""The field loop's side of the phones: the job shown, orders, guests, the crew's own; shell."""
