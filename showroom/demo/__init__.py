"""The demo: an invented showroom, its catalogue, and one house designed from hall to terrace."""
