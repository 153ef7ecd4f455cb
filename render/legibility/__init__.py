"""Tell how well thread, marking colours and card are told apart, and propose better ones."""
