"""Signs of trouble in single quarters: conductivity, milk, and the sensors that read them."""
