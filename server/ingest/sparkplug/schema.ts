/**
 * Messages of Sparkplug B as Google protocol buffers: what a measured value needs, with the names and numbers of the
 * specification. Data sets, templates, files, metadata and nested properties hold nothing that a sensor measures; not
 * named here, they are skipped unread.
 *
 * @see Eclipse Sparkplug Specification 3.0.0, 6.4.1 (Google Protocol Buffer Schema)
 */
export const schema = `
syntax = "proto2";
package org.eclipse.tahu.protobuf;

message Payload {
  message PropertyValue {
    oneof value {
      uint32 int_value = 3;
    }
  }

  message PropertySet {
    repeated string keys = 1;
    repeated PropertyValue values = 2;
  }

  message Metric {
    optional string name = 1;
    optional uint64 alias = 2;
    optional uint64 timestamp = 3;
    optional uint32 datatype = 4;
    optional bool is_null = 7;
    optional PropertySet properties = 9;

    oneof value {
      uint32 int_value = 10;
      uint64 long_value = 11;
      float float_value = 12;
      double double_value = 13;
      bool boolean_value = 14;
      string string_value = 15;
    }
  }

  optional uint64 timestamp = 1;
  repeated Metric metrics = 2;
  optional uint64 seq = 3;
}
`
