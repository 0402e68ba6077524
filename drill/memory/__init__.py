"""What next, and when: items, factors, answers and instants; it knows no music."""
