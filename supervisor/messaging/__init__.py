"""Messaging: what spyhole tells other programs over MQTT. It subscribes to nothing.

``MqttLink`` in ``mqtt`` keeps the connection; ``EmbeddedBroker`` in ``broker`` is for the demo.
"""
