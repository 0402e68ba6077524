"""The screens of the trainer: each turns a view into lines and keys into actions."""
