"""An issued offer as a file for other programs. Each module has one pure ``write(offer=…)``.

``offer`` is always the client-safe payload as content. The internal payload never comes here.
"""
