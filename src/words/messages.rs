//! Every message that there is, and what its places are called.

use super::Words;

/// Declares the messages: a key, a row of [`MESSAGES`] and a method of [`Words`] for each.
macro_rules! messages {
    ($($name:ident($($place:ident),*);)*) => {
        /// A message.
        #[expect(non_camel_case_types, reason = "the keys are those of the message files")]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Key {
            $(
                #[doc = concat!("`", stringify!($name), "`")]
                $name,
            )*
        }

        impl Key {
            /// Every message, in the order of [`MESSAGES`].
            pub const ALL: &[Self] = &[$(Self::$name),*];
        }

        /// The key of every message and the names of its places.
        pub const MESSAGES: &[(&str, &[&str])] = &[
            $((stringify!($name), &[$(stringify!($place)),*])),*
        ];

        impl Words {
            $(
                #[doc = concat!("The message `", stringify!($name), "`, its places filled.")]
                #[must_use]
                pub fn $name(&self, $($place: &str),*) -> String {
                    self.said(Key::$name, &[$($place),*])
                }
            )*
        }
    };
}

messages! {
    month_january();
    month_february();
    month_march();
    month_april();
    month_may();
    month_june();
    month_july();
    month_august();
    month_september();
    month_october();
    month_november();
    month_december();
    month_date(day, month, year);
    list_more(names, count);
    page_of();
    device_contact();
    device_motion();
    device_glass_break();
    device_shock();
    device_smoke();
    device_heat();
    device_co();
    device_leak();
    device_fob();
    device_pendant();
    device_panel();
    device_sensor();
    device_repeater();
    device_keypad();
    device_siren();
    role_perimeter();
    role_entry_exit();
    role_interior();
    role_always();
    role_fire();
    role_carbon_monoxide();
    role_medical();
    role_panic();
    role_none();
    signal_sound();
    signal_thin();
    signal_failing();
    key_well();
    key_little();
    key_not();
    key_panel();
    key_repeater();
    key_way();
    key_alt();
    quote_title();
    quote_footer(site, date);
    quote_site();
    quote_date();
    quote_valid_until();
    quote_devices_count();
    quote_price_total();
    quote_logo(name);
    quote_installer();
    quote_name();
    quote_address();
    quote_licence();
    quote_phone();
    quote_email();
    quote_installer_blank();
    quote_customer();
    quote_incomplete();
    quote_incomplete_business();
    quote_incomplete_prices();
    quote_in_short();
    quote_short_none();
    quote_short_needed(missing, count);
    quote_short_needed_many(missing, count, repeaters);
    quote_short_reserve();
    quote_short_left();
    quote_left_title();
    quote_left_mend();
    quote_left_device(name, level);
    quote_plan();
    quote_plan_text();
    quote_plan_panel(height);
    quote_plan_caption(level);
    quote_plan_alt(level);
    quote_cover();
    quote_cover_without(level);
    quote_cover_with(level);
    quote_cover_only(level);
    quote_cover_count(caption, heard, count);
    quote_cover_alt_without(level);
    quote_cover_alt_with(level);
    quote_level_none();
    quote_level_empty();
    quote_level_needed(missing, count, names);
    quote_level_partly(missing, count, names, left);
    quote_level_left(names);
    quote_repeaters();
    quote_repeater_name(number);
    quote_repeater_outlet(level, outlet);
    quote_repeater_place(level);
    quote_roams();
    quote_roam_area();
    quote_roam_share();
    quote_roam_share_of(share);
    quote_devices();
    quote_column_number();
    quote_column_device();
    quote_column_type();
    quote_column_role();
    quote_column_via();
    quote_column_signal();
    quote_via_panel();
    quote_prices();
    quote_column_item();
    quote_column_quantity();
    quote_column_unit();
    quote_column_amount();
    quote_labour();
    quote_subtotal();
    quote_tax();
    quote_total();
    quote_tax_on_total(tax);
    quote_tax_on_lines(tax);
    quote_rounding(currency);
    quote_assumes();
    quote_assumes_plan();
    quote_assumes_test();
    quote_assumes_outlet();
    quote_assumes_later();
    quote_excludes();
    quote_excludes_mains();
    quote_excludes_walls();
    quote_excludes_monitoring();
    quote_excludes_portable();
    quote_excludes_permits();
    quote_terms();
    quote_cautions();
    quote_caution_life();
    quote_caution_drill();
    quote_caution_alarm();
    quote_accepted();
    quote_sign_customer();
    quote_sign_installer();
    ledger_title();
    ledger_text();
    ledger_settings();
    ledger_program();
    ledger_link();
    ledger_frequency();
    ledger_reflections();
    ledger_shadowing();
    ledger_fading();
    ledger_wall_cap();
    ledger_shadow_note();
    ledger_limits();
    ledger_limits_value(sound, thin);
    ledger_proof();
    ledger_proof_best(count);
    ledger_proof_gap(count, least);
    ledger_paths();
    ledger_distance();
    ledger_free_space();
    ledger_walls();
    ledger_direct();
    ledger_all_paths();
    ledger_budget();
    ledger_eirp();
    ledger_antenna();
    ledger_mount();
    ledger_site_offset();
    ledger_received();
    ledger_needed();
    ledger_result();
    ledger_margin();
    ledger_margin_p10();
    ledger_fault();
    ledger_crossings();
    ledger_clear();
    ledger_feature();
    ledger_construction();
    ledger_angle();
    ledger_slab();
    ledger_excess();
    ledger_both();
}
