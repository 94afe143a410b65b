"""What stands beside the forms and on the board for each foot."""
