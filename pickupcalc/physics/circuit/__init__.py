"""Networks solved, their curves read, one loaded pickup in closed form."""
